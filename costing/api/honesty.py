"""Whether estimates are honest: months of forecasts against hours taken, and each order."""

from __future__ import annotations

from typing import Any

from rest_framework import mixins, serializers, viewsets
from rest_framework.request import Request
from rest_framework.response import Response

from costing.models import ForetoldOrder
from costing.services.honesty import record
from costing.services.learning import fit_of
from orders.api.access import workshop_of
from orders.api.views import OfWorkshop


class HonestySerializer(serializers.Serializer[Any]):
    """How some forecasts did; bias, width and score are shares of the hours taken."""

    orders = serializers.IntegerField()
    covered = serializers.FloatField(help_text="Share of orders in the 80 % band.")
    kept = serializers.FloatField(help_text="Share of orders within P80.")
    bias = serializers.FloatField(help_text="P50 over the hours taken, less one.")
    width = serializers.FloatField(help_text="The 80 % band's.")
    score = serializers.FloatField(help_text="Continuous ranked probability score; 0 is perfect.")


class MonthSerializer(serializers.Serializer[Any]):
    """The orders that began in a month."""

    on = serializers.DateField(help_text="The first of the month.")
    quoted = HonestySerializer(allow_null=True)
    learned = HonestySerializer(allow_null=True)


class ForetoldSerializer(serializers.ModelSerializer[ForetoldOrder]):
    """A finished order as foretold from what was known before it began."""

    class Meta:
        model = ForetoldOrder
        fields = ("id", "commission", "on", "mean_h", "sd_h", "actual_h")
        read_only_fields = fields


class HonestyMonths(viewsets.GenericViewSet[Any]):
    """Month by month."""

    permission = "costing.see_labour"
    serializer_class = MonthSerializer
    filter_backends = ()

    def list(self, request: Request) -> Response:
        """Every month in which an order began that is finished."""
        workshop = workshop_of(request)
        rows: Any = list(record(workshop, fit_of(workshop)).months)
        page = self.paginate_queryset(rows)
        return self.get_paginated_response(self.get_serializer(page, many=True).data)


class ForetoldOrders(mixins.ListModelMixin, mixins.RetrieveModelMixin, OfWorkshop):
    """Order by order, each foretold from those that ended before it began."""

    model = ForetoldOrder
    serializer_class = ForetoldSerializer
    permission = "costing.see_labour"
    lookup_value_regex = "[0-9]+"
    filterset_fields = ("commission",)
