"""What-ifs of commissions: kept, compared, adopted, and what many at once would cost."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from pydantic import TypeAdapter
from rest_framework import mixins, serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from costing.api.estimates import ESTIMATE, SHAPE, commission_of, day_of
from costing.api.shapes import Shape
from costing.core.finish import LONGEST_LABEL, SupposedFinish
from costing.core.quantity import LEARNING_SLOPE, QuantityBreak
from costing.models import WhatIf
from costing.services import what_ifs
from costing.services.estimating import estimate_for
from orders.api.fields import OwnRow
from orders.api.views import Idempotent, OfWorkshop, Versioned
from orders.core.errors import RuleBroken
from orders.core.supposition import MOST_OFF, Supposition
from orders.core.times import Method
from orders.models import Commission

BREAKS = TypeAdapter(tuple[QuantityBreak, ...])
BREAKS_SHAPE = Shape.of("QuantityBreaks", BREAKS)
MOST_QUANTITIES = 12
NUMBERS = OpenApiParameter(
    "quantities", OpenApiTypes.STR, description="Whole numbers apart by commas; 1,5,20 if absent."
)


class SuppositionSerializer(serializers.Serializer[Supposition]):
    """What is supposed to be otherwise; what is left out stays as it is."""

    quantity = serializers.IntegerField(required=False, default=1, min_value=1, max_value=MOST_OFF)
    method = serializers.ChoiceField(
        [Method.HAND.value, Method.MACHINE.value], required=False, allow_null=True, default=None
    )
    species = serializers.DictField(
        child=serializers.CharField(max_length=40), required=False, default=dict
    )
    joints = serializers.DictField(
        child=serializers.CharField(max_length=40), required=False, default=dict
    )

    def supposition(self, sent: dict[str, Any]) -> Supposition:
        """What was sent."""
        method = Method(sent["method"]) if sent["method"] else None
        return Supposition(**{**sent, "method": method})


class FinishSerializer(serializers.Serializer[SupposedFinish]):
    """Another finish, and its net cost for the whole commission made once."""

    label = serializers.CharField(max_length=LONGEST_LABEL)
    net = serializers.DecimalField(max_digits=9, decimal_places=2, min_value=0)

    def to_representation(self, instance: Any) -> Any:
        """Nothing where the finish stays as it is."""
        return super().to_representation(instance) if instance else None


class WhatIfSerializer(serializers.ModelSerializer[WhatIf]):
    """An alternative under its name."""

    commission = OwnRow(Commission)
    supposed = SuppositionSerializer()
    learning_slope = serializers.FloatField(required=False, default=LEARNING_SLOPE)
    finish = FinishSerializer(required=False, allow_null=True, default=None)

    class Meta:
        model = WhatIf
        fields = ("id", "commission", "name", "supposed", "learning_slope", "finish", "version")
        read_only_fields = ("version",)
        validators: tuple[Any, ...] = ()


class SideSerializer(serializers.Serializer[Any]):
    """One column of the comparison; figures are absent where it cannot be priced."""

    what_if = serializers.IntegerField(source="what_if.pk", allow_null=True, default=None)
    name = serializers.CharField()
    supposes = serializers.ListField(child=serializers.CharField(), source="words")
    quantity = serializers.IntegerField()
    fault = serializers.CharField()
    net = serializers.CharField(source="estimate.net", allow_null=True, default=None)
    cost = serializers.CharField(source="estimate.cost", allow_null=True, default=None)
    margin = serializers.CharField(source="estimate.margin", allow_null=True, default=None)
    hours_p50 = serializers.FloatField(source="estimate.hours.p50", allow_null=True, default=None)
    hours_p80 = serializers.FloatField(source="estimate.hours.p80", allow_null=True, default=None)
    chance_of_loss = serializers.FloatField(
        source="estimate.chance_of_loss", allow_null=True, default=None
    )
    lead_working_days = serializers.IntegerField(
        source="lead.working_days", allow_null=True, default=None
    )


class WhatIfs(mixins.ListModelMixin, mixins.RetrieveModelMixin, Versioned, Idempotent, OfWorkshop):
    """Alternatives of the workshop's commissions."""

    model = WhatIf
    serializer_class = WhatIfSerializer
    permission = {
        "GET": "costing.see_estimates",
        "POST": "costing.issue_quotes",
        "DELETE": "costing.issue_quotes",
    }
    lookup_value_regex = "[0-9]+"
    filterset_fields = {"commission": ["exact"]}

    def get_queryset(self) -> QuerySet[WhatIf]:
        """With their commissions."""
        return super().get_queryset().select_related("commission__workshop")

    def create(self, request: Request) -> Response:
        """Keep another alternative."""

        def made() -> Response:
            serializer = self.get_serializer(data=request.data)
            serializer.is_valid(raise_exception=True)
            sent = dict(serializer.validated_data)
            supposed = SuppositionSerializer().supposition(sent.pop("supposed"))
            finish = sent.pop("finish")
            row = what_ifs.add_what_if(
                sent.pop("commission"),
                supposition=supposed,
                finish=SupposedFinish(**finish) if finish else None,
                **sent,
            )
            return Response(self.get_serializer(row).data, status=201)

        return self.once(request, made)

    def destroy(self, request: Request, pk: str) -> Response:
        """Throw one away."""
        row = self.get_object()
        what_ifs.remove_what_if(row, version=self.expected_version(request, row))
        return Response(status=204)

    def retrieve(self, request: Request, pk: str) -> Response:
        """Read one, with its ETag."""
        row = self.get_object()
        response = Response(self.get_serializer(row).data)
        response["ETag"] = self.etag(row)
        return response


class AdoptWhatIf(Idempotent, OfWorkshop):
    """The step by which a commission becomes what an alternative supposes."""

    model = WhatIf
    serializer_class = serializers.Serializer
    permission = {"POST": "orders.edit_commissions"}

    @extend_schema(request=None, responses=SHAPE, tags=["what-ifs"])
    def adopt(self, request: Request, pk: int) -> Response:
        """Adopt it; the alternative is gone then, and the commission's estimate is answered."""
        what_if = self.get_object()

        def made() -> Response:
            today = timezone.localdate()
            commission = what_ifs.adopt_what_if(what_if, on=today)
            return Response(ESTIMATE.dump_python(estimate_for(commission, today), mode="json"))

        return self.once(request, made)


class Compared(APIView):
    """A commission beside its alternatives."""

    permission = "costing.see_estimates"

    @extend_schema(
        operation_id="commission_what_ifs", responses=SideSerializer(many=True), tags=["what-ifs"]
    )
    def get(self, request: Request, pk: int) -> Response:
        """The commission as it stands first, then each alternative."""
        now = timezone.now()
        sides = what_ifs.side_by_side(commission_of(request, pk), timezone.localdate(now), now)
        return Response(SideSerializer(sides, many=True).data)


class Quantities(APIView):
    """A commission made several times over."""

    permission = "costing.see_estimates"

    @extend_schema(
        operation_id="commission_quantities",
        parameters=[NUMBERS],
        responses=BREAKS_SHAPE,
        tags=["what-ifs"],
    )
    def get(self, request: Request, pk: int) -> Response:
        """The whole estimate of each quantity, and what one of it comes to."""
        commission = commission_of(request, pk)
        found = what_ifs.quantities(commission, day_of(request), numbers(request))
        return Response(BREAKS.dump_python(found, mode="json"))


def numbers(request: Request) -> tuple[int, ...]:
    """The quantities that are asked about; raises RuleBroken for one that is none."""
    words = request.query_params.get("quantities", "") or "1,5,20"
    found = [word.strip() for word in words.split(",")]
    if len(found) > MOST_QUANTITIES or not all(
        word.isascii() and word.isdecimal() and 1 <= int(word[:9]) <= MOST_OFF for word in found
    ):
        raise RuleBroken(
            "quantities",
            f"Give at most {MOST_QUANTITIES} whole numbers from 1 to {MOST_OFF:,}, as in 1,5,20.",
        )
    return tuple(int(word) for word in found)
