"""What a commission would cost, as of a day, and how its price is set."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.utils.dateparse import parse_date
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from pydantic import TypeAdapter
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from costing.api.shapes import Shape
from costing.core.estimate import Estimate, PriceBasis, Pricing, Profit, ProfitBasis
from costing.services.estimating import basis_for, priced
from costing.services.price_setting import price_kept, price_set, require_sound, set_price
from orders.api.access import workshop_of
from orders.api.views import Versioned
from orders.core.errors import RuleBroken
from orders.models import Commission

MOST_LEVELS = 99
ESTIMATE = TypeAdapter(Estimate)
SHAPE = Shape.of("Estimate", ESTIMATE)
ON = OpenApiParameter(
    "on", OpenApiTypes.DATE, description="The day whose rates and times hold; today if absent."
)


class ProfitSerializer(serializers.Serializer[Profit]):
    """The profit asked for: a margin is a share of the price, a markup one of the cost."""

    basis = serializers.ChoiceField([basis.value for basis in ProfitBasis])
    share = serializers.DecimalField(
        max_digits=6, decimal_places=4, min_value=0, help_text="0.22 is 22 per cent."
    )


class PricingSerializer(serializers.Serializer[Pricing]):
    """What a price starts from; `net` where it is set by hand, `profit` in place of the rate book's."""

    basis = serializers.ChoiceField([basis.value for basis in PriceBasis])
    net = serializers.DecimalField(
        max_digits=16, decimal_places=4, min_value=0, required=False, allow_null=True
    )
    profit = ProfitSerializer(required=False, allow_null=True)

    def pricing(self) -> Pricing:
        """What was sent."""
        sent = self.validated_data
        profit = sent.get("profit")
        return Pricing(
            basis=PriceBasis(sent["basis"]),
            net=sent.get("net"),
            profit=Profit(basis=ProfitBasis(profit["basis"]), share=profit["share"])
            if profit
            else None,
        )


WAYS = (
    ON,
    OpenApiParameter(
        "basis",
        OpenApiTypes.STR,
        enum=[basis.value for basis in PriceBasis],
        description="What the price starts from; as it is set if absent.",
    ),
    OpenApiParameter("net", OpenApiTypes.DECIMAL, description="The price, where it is by hand."),
    OpenApiParameter(
        "levels", OpenApiTypes.INT, description="How deep lines unfold, from 1; all if absent."
    ),
)


class CommissionEstimate(APIView):
    """The estimate of a commission."""

    permission = "costing.see_estimates"

    @extend_schema(
        operation_id="commission_estimate",
        parameters=list(WAYS),
        responses=SHAPE,
        tags=["commissions"],
    )
    def get(self, request: Request, pk: int) -> HttpResponse:
        """Lines that unfold, tax, distributions, and the share of each assembly.

        It is written in one go: a large estimate has a megabyte of lines.
        """
        commission = commission_of(request, pk)
        pricing = asked_way(request, commission.workshop.currency)
        found = priced(basis_for(commission, day_of(request)), pricing)
        if (levels := levels_of(request)) is not None:
            found = replace(found, lines=tuple(line.down_to(levels) for line in found.lines))
        return HttpResponse(ESTIMATE.dump_json(found), content_type="application/json")


class CommissionPrice(Versioned, APIView):
    """What the price of a commission starts from."""

    permission = {"GET": "costing.see_estimates", "*": "costing.issue_quotes"}

    @extend_schema(
        operation_id="commission_price", responses=PricingSerializer, tags=["commissions"]
    )
    def get(self, request: Request, pk: int) -> Response:
        """As it is set, with its ETag."""
        return self.answer(commission_of(request, pk))

    @extend_schema(
        operation_id="commission_price_set",
        request=PricingSerializer,
        responses=PricingSerializer,
        tags=["commissions"],
    )
    def put(self, request: Request, pk: int) -> Response:
        """Set it; the next quote is drafted at it."""
        commission = commission_of(request, pk)
        version = self.expected_version(request, price_kept(commission))
        sent = PricingSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        set_price(commission, sent.pricing(), version=version)
        return self.answer(commission)

    def answer(self, commission: Commission) -> Response:
        """The price with its ETag."""
        response = Response(PricingSerializer(price_set(commission)).data)
        response["ETag"] = self.etag(price_kept(commission))
        return response


def commission_of(request: Request, pk: int) -> Commission:
    """A commission of the workshop."""
    rows = Commission.objects.of(workshop_of(request)).select_related("workshop")
    found: Commission = get_object_or_404(rows, pk=pk)
    return found


def levels_of(request: Request) -> int | None:
    """How many levels are asked for; raises RuleBroken for what is no number."""
    asked = request.query_params.get("levels", "")
    if not asked:
        return None
    if not (asked.isascii() and asked.isdecimal() and 1 <= int(asked[:4]) <= MOST_LEVELS):
        raise RuleBroken("levels", f"Give a whole number from 1 to {MOST_LEVELS}.")
    return int(asked)


def asked_way(request: Request, currency: str) -> Pricing | None:
    """The price that is asked about; raises RulesBroken for one that cannot be."""
    given = {
        name: request.query_params[name]
        for name in ("basis", "net")
        if request.query_params.get(name)
    }
    if not given:
        return None
    asked = PricingSerializer(data={"basis": PriceBasis.HAND.value, **given})
    asked.is_valid(raise_exception=True)
    require_sound(asked.pricing(), currency)
    return asked.pricing()


def day_of(request: Request) -> date:
    """The day that is asked about; raises RuleBroken for one that is not in the calendar."""
    written = request.query_params.get("on", "")
    try:
        day = parse_date(written) if written else timezone.localdate()
    except ValueError:
        day = None
    if day is None:
        raise RuleBroken("on", "Give the day as 2027-03-31.")
    return day
