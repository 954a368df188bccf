"""The rate book in editions: each is made once and then only read."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from rest_framework import mixins, serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse

from costing.models import RateEdition
from costing.services.rates import AMOUNTS, new_edition
from orders.api.access import person_of, workshop_of
from orders.api.views import Idempotent, OfWorkshop


class HourlyRates(serializers.DictField):
    """Money per hour by name; rows of the edition."""

    def __init__(self, *, by: str, **more: Any) -> None:
        self.by = by
        super().__init__(
            child=serializers.DecimalField(max_digits=9, decimal_places=2, min_value=0), **more
        )

    def to_representation(self, value: Any) -> dict[str, str]:
        """The rows as a mapping."""
        return {getattr(row, self.by): str(row.per_hour) for row in value.all()}


class RateEditionSerializer(serializers.ModelSerializer[RateEdition]):
    """An edition; what is left out of a new one is taken over from the last."""

    labour = HourlyRates(by="skill", help_text="Money per hour by skill.")
    machine = HourlyRates(
        by="station_kind", source="machines", help_text="Money per hour by kind of station."
    )

    class Meta:
        model = RateEdition
        fields = ("id", "number", "valid_from", *AMOUNTS, "labour", "machine", "made_at")
        read_only_fields = ("number",)


class RateEditions(mixins.ListModelMixin, mixins.RetrieveModelMixin, Idempotent, OfWorkshop):
    """Editions of the rate book."""

    model = RateEdition
    serializer_class = RateEditionSerializer
    permission = {"GET": "costing.see_rates", "*": "costing.edit_rates"}
    lookup_value_regex = "[0-9]+"
    filterset_fields = {"number": ["exact"], "valid_from": ["lte", "gte"]}

    def get_queryset(self) -> QuerySet[RateEdition]:
        """With their rates, in two more queries."""
        return super().get_queryset().prefetch_related("labour", "machines")

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
