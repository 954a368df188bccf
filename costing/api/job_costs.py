"""What orders cost: quoted against actual, what is left, charges, and what joints should be charged."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import mixins, serializers, viewsets
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from costing.core.jobcost import CHARGED
from costing.models import Charge
from costing.services import charging
from costing.services.charging_for import Work, charging_for
from costing.services.hourly import rates_on
from costing.services.job_costs import job_cost
from costing.services.order_books import order_books
from costing.services.remaining import Remaining, remaining
from orders.api.access import person_of, workshop_of
from orders.api.fields import OwnRow
from orders.api.views import OfWorkshop
from orders.models import Assembly, Commission

MAY = "costing.see_job_costs"


def money(**more: Any) -> serializers.DecimalField:
    """An amount in the workshop's currency."""
    return serializers.DecimalField(max_digits=24, decimal_places=2, **more)


class CostLineSerializer(serializers.Serializer[Any]):
    """One kind of cost; above zero it cost more than quoted, and price + usage = difference."""

    kind = serializers.CharField()
    quoted = money()
    actual = money()
    difference = money()
    price = money(help_text="What rates and prices did.")
    usage = money(help_text="What hours and quantities did.")


class CostPartSerializer(serializers.Serializer[Any]):
    """An assembly, or null for the whole order, without overhead."""

    assembly = serializers.IntegerField(allow_null=True)
    quoted = money()
    actual = money()
    lines = CostLineSerializer(many=True)


class SpreadSerializer(serializers.Serializer[Any]):
    """A total that is not certain."""

    mean = serializers.FloatField()
    sd = serializers.FloatField()
    p50 = serializers.FloatField()
    p80 = serializers.FloatField()
    p90 = serializers.FloatField()


class OrderCostSerializer(serializers.Serializer[Remaining]):
    """An order: cost so far, and what is left of it."""

    commission = serializers.IntegerField(source="cost.commission.pk")
    mark = serializers.CharField(source="cost.commission.mark")
    price = money(source="cost.net", allow_null=True, help_text="As agreed, without tax.")
    quoted_cost = money(source="cost.quoted_cost")
    actual_cost = money(source="cost.actual_cost")
    hours_taken = serializers.FloatField(source="cost.hours")
    operations_left = serializers.IntegerField(source="operations")
    hours_left = SpreadSerializer(source="hours")
    work_left = SpreadSerializer(source="work", help_text="What the hours left cost.")
    at_completion = money()
    earned = money(allow_null=True, help_text="What it is expected to earn.")
    chance_of_loss = serializers.FloatField(allow_null=True)


class OrderCostDetailSerializer(OrderCostSerializer):
    """And kind by kind, assembly by assembly."""

    lines = CostLineSerializer(many=True, source="cost.lines")
    parts = CostPartSerializer(many=True, source="cost.parts")


class CostedWorkSerializer(serializers.Serializer[Work]):
    """A joint type in one wood and section: the price of its labour, charged and needed."""

    joint = serializers.CharField()
    label = serializers.CharField()
    species = serializers.CharField()
    size = serializers.CharField()
    batches = serializers.IntegerField()
    lost = money()
    charged = money()
    needed = money()


class ChargeSerializer(serializers.ModelSerializer[Charge]):
    """A quantity issued to an order or bought for it; below 0 it came back.

    `stock` names a row of the rack, as "board-7", and stands for kind, label, unit and price.
    """

    commission = OwnRow(Commission)
    assembly = OwnRow(Assembly, required=False, allow_null=True)
    stock = serializers.CharField(max_length=40, required=False, allow_blank=True, write_only=True)
    kind = serializers.ChoiceField([kind.value for kind in CHARGED], required=False)
    label = serializers.CharField(max_length=120, required=False, allow_blank=True)
    unit_price = serializers.DecimalField(max_digits=12, decimal_places=4, required=False)

    class Meta:
        model = Charge
        fields = (
            "id",
            "commission",
            "assembly",
            "stock",
            "kind",
            "label",
            "unit",
            "quantity",
            "unit_price",
            "quoted_price",
            "on",
            "note",
            "takes_back",
        )
        read_only_fields = ("quoted_price", "takes_back")


class CommissionCost(APIView):
    """One order."""

    permission = MAY

    @extend_schema(responses=OrderCostDetailSerializer)
    def get(self, request: Request, pk: int) -> Response:
        """Quoted against actual, and what is left."""
        workshop = workshop_of(request)
        order = get_object_or_404(Commission.objects.of(workshop), pk=pk)
        (left,) = remaining(workshop, [job_cost(order)])
        return Response(OrderCostDetailSerializer(left).data)


class OrderCosts(viewsets.GenericViewSet[Any]):
    """Orders in work."""

    permission = MAY
    serializer_class = OrderCostSerializer
    filter_backends = ()

    def list(self, request: Request) -> Response:
        """Each with its cost so far and what is left."""
        rows: Any = list(order_books(workshop_of(request), timezone.localdate()).in_work)
        page = self.paginate_queryset(rows)
        return self.get_paginated_response(self.get_serializer(page, many=True).data)


class ChargingFor(viewsets.GenericViewSet[Any]):
    """Joints and the price they need."""

    permission = MAY
    serializer_class = CostedWorkSerializer
    filter_backends = ()

    def list(self, request: Request) -> Response:
        """By joint type, wood and section, the greatest loss first."""
        workshop = workshop_of(request)
        rates = rates_on(workshop, timezone.localdate())
        rows: Any = charging_for(workshop, rates) if rates else []
        page = self.paginate_queryset(rows)
        return self.get_paginated_response(self.get_serializer(page, many=True).data)


class Charges(mixins.ListModelMixin, mixins.RetrieveModelMixin, OfWorkshop):
    """Charges, the newest first."""

    model = Charge
    serializer_class = ChargeSerializer
    permission = MAY
    lookup_value_regex = "[0-9]+"
    filterset_fields = ("commission", "kind")

    def create(self, request: Request) -> Response:
        """Charge an order."""
        sent = self.get_serializer(data=request.data)
        sent.is_valid(raise_exception=True)
        fields = {"kind": "", "label": "", **sent.validated_data}
        row = charging.charge(fields.pop("commission"), by=person_of(request), **fields)
        return Response(self.get_serializer(row).data, status=201)


class ChargeSteps(OfWorkshop):
    """Taking a charge back."""

    model = Charge
    serializer_class = ChargeSerializer
    permission = MAY

    @extend_schema(request=None, responses={201: ChargeSerializer})
    def back(self, request: Request, pk: int) -> Response:
        """By its opposite, so that both stay to be seen."""
        row = charging.take_back(self.get_object(), by=person_of(request), on=timezone.localdate())
        return Response(self.get_serializer(row).data, status=201)
