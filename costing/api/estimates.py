"""What a commission would cost, as of a day; every figure with its make-up."""

from __future__ import annotations

from datetime import date

from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.utils.dateparse import parse_date
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from pydantic import TypeAdapter
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from costing.api.shapes import Shape
from costing.core.estimate import Estimate
from costing.services.estimating import estimate_for
from orders.api.access import workshop_of
from orders.core.errors import RuleBroken
from orders.models import Commission

ESTIMATE = TypeAdapter(Estimate)
SHAPE = Shape.of("Estimate", ESTIMATE)
ON = OpenApiParameter(
    "on", OpenApiTypes.DATE, description="The day whose rates and times hold; today if absent."
)


class CommissionEstimate(APIView):
    """The estimate of a commission."""

    permission = "costing.see_estimates"

    @extend_schema(
        operation_id="commission_estimate", parameters=[ON], responses=SHAPE, tags=["commissions"]
    )
    def get(self, request: Request, pk: int) -> Response:
        """Lines that unfold, tax, distributions, and the share of each assembly."""
        rows = Commission.objects.of(workshop_of(request)).select_related("workshop")
        commission = get_object_or_404(rows, pk=pk)
        found = estimate_for(commission, day_of(request))
        return Response(ESTIMATE.dump_python(found, mode="json"))


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
