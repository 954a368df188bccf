"""The rate book in editions: each is made once and then only read."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import QuerySet
from rest_framework import mixins, serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse

from costing.core.workings import plain
from costing.models import RateEdition
from costing.services.rate_rows import PARTS, parts_of
from costing.services.rates import AMOUNTS, new_edition
from orders.api.access import person_of, workshop_of
from orders.api.views import Idempotent, OfWorkshop


class HourlyRates(serializers.DictField):
    """Money per hour by name; rows of the edition."""

    def __init__(self, *, by: str, amount: str = "per_hour", rows: str = "", **more: Any) -> None:
        self.by, self.amount, self.rows = by, amount, rows
        money = serializers.DecimalField(max_digits=12, decimal_places=3, min_value=0)
        super().__init__(child=money, **more)

    def get_attribute(self, instance: Any) -> Any:
        """The rows that it stands for."""
        return getattr(instance, self.rows) if self.rows else super().get_attribute(instance)

    def to_representation(self, value: Any) -> dict[str, str]:
        """The rows as a mapping, amounts as the currency is written."""
        rows = [(getattr(row, self.by), getattr(row, self.amount)) for row in value.all()]
        currency = workshop_of(self.context["request"]).currency
        return {str(by): plain(amount, currency) for by, amount in rows if amount is not None}


class HandRates(HourlyRates):
    """Money per hour by the id of a hand."""

    def to_internal_value(self, data: Any) -> dict[int, Decimal]:
        """Ids are whole numbers."""
        sent: dict[str, Decimal] = super().to_internal_value(data)
        faults = {name: ["Give the id of a hand."] for name in sent if not name.isdecimal()}
        if faults:
            raise serializers.ValidationError(faults)
        return {int(name): rate for name, rate in sent.items()}


class PartsSerializer(serializers.Serializer[Any]):
    """What the rate of a machine adds up from; amounts in a year unless they say otherwise."""

    def get_fields(self) -> dict[str, serializers.Field[Any, Any, Any, Any]]:
        """One for each part."""
        return {
            name: serializers.DecimalField(
                max_digits=12,
                decimal_places=3,
                min_value=0,
                required=name in ("purchase", "life_h", "hours_run"),
            )
            for name in PARTS
        }


class BuildUps(serializers.DictField):
    """Build-ups by kind of station."""

    child = PartsSerializer()

    def get_attribute(self, instance: RateEdition) -> Any:
        """The machines of the edition."""
        return instance.machines

    def to_representation(self, value: Any) -> dict[str, Any]:
        """Those machines of the edition that are built up."""
        return {
            row.station_kind: {
                name: f"{amount:f}" for name, amount in parts_of(row.build_up).items()
            }
            for row in value.all()
            if hasattr(row, "build_up")
        }


class TaxSteps(serializers.DictField):
    """Rates of tax, in per cent, by the day from which they hold."""

    def __init__(self, **more: Any) -> None:
        tax = serializers.DecimalField(max_digits=5, decimal_places=2, min_value=0, max_value=100)
        super().__init__(child=tax, **more)

    def to_internal_value(self, data: Any) -> dict[date, Decimal]:
        """Days that are in the calendar."""
        day = serializers.DateField()
        sent: dict[str, Decimal] = super().to_internal_value(data)
        return {day.run_validation(written): rate for written, rate in sent.items()}

    def to_representation(self, value: Any) -> dict[str, str]:
        """The rows as a mapping."""
        return {row.valid_from.isoformat(): str(row.rate) for row in value.all()}


class RateEditionSerializer(serializers.ModelSerializer[RateEdition]):
    """An edition; what is left out of a new one is taken over from the last."""

    labour = HourlyRates(by="skill", help_text="Money per hour by skill.")
    machine = HourlyRates(
        by="station_kind", source="machines", help_text="Money per hour by kind of station."
    )
    departments = HourlyRates(
        by="skill",
        amount="overhead_per_hour",
        rows="labour",
        required=False,
        help_text="Overhead per hour by skill, where it is charged by department.",
    )
    hands = HandRates(by="hand_id", required=False, help_text="Money per hour by the id of a hand.")
    build_ups = BuildUps(
        required=False, help_text="Machines whose rate is built up from its parts, by kind."
    )
    tax_steps = TaxSteps(required=False, help_text="Per cent, by the day from which it holds.")

    class Meta:
        model = RateEdition
        fields = (
            "id",
            "number",
            "valid_from",
            *AMOUNTS,
            "labour",
            "departments",
            "hands",
            "machine",
            "build_ups",
            "tax_steps",
            "made_at",
        )
        read_only_fields = ("number",)


class RateEditions(mixins.ListModelMixin, mixins.RetrieveModelMixin, Idempotent, OfWorkshop):
    """Editions of the rate book."""

    model = RateEdition
    serializer_class = RateEditionSerializer
    permission = {"GET": "costing.see_rates", "*": "costing.edit_rates"}
    lookup_value_regex = "[0-9]+"
    filterset_fields = {"number": ["exact"], "valid_from": ["lte", "gte"]}

    def get_queryset(self) -> QuerySet[RateEdition]:
        """With their rates, in five more queries."""
        return (
            super()
            .get_queryset()
            .prefetch_related("labour", "machines__build_up", "hands", "tax_steps")
        )

    def create(self, request: Request) -> Response:
        """Make the next edition."""

        def made() -> Response:
            serializer = self.get_serializer(data=request.data)
            serializer.is_valid(raise_exception=True)
            edition = new_edition(
                workshop_of(request), by=person_of(request), **serializer.validated_data
            )
            response = Response(self.get_serializer(edition).data, status=201)
            response["Location"] = reverse("api-rate-edition-detail", [edition.pk], request=request)
            return response

        return self.once(request, made)
