"""The operations of released commissions."""

from __future__ import annotations

from django.db.models import QuerySet
from rest_framework import mixins, serializers

from orders.api.views import OfWorkshop
from orders.models import Operation


class OperationSerializer(serializers.ModelSerializer[Operation]):
    """A step of the work, with the standard minutes it was released with."""

    minutes = serializers.FloatField(read_only=True)

    class Meta:
        model = Operation
        fields = (
            "id",
            "commission",
            "assembly",
            "joint",
            "number",
            "code",
            "name",
            "method",
            "station_kind",
            "skill",
            "pieces",
            "pieces_done",
            "setup_min",
            "each_min",
            "minutes",
            "state",
            "after",
        )
        read_only_fields = fields


class Operations(mixins.ListModelMixin, mixins.RetrieveModelMixin, OfWorkshop):
    """Every operation of every order, in working order."""

    model = Operation
    serializer_class = OperationSerializer
    permission = "orders.see_commissions"
    lookup_value_regex = "[0-9]+"
    filterset_fields = ("commission", "assembly", "joint", "state", "station_kind", "code")
    ordering_fields = ("commission", "number", "state")

    def get_queryset(self) -> QuerySet[Operation]:
        """With what each waits for."""
        return super().get_queryset().prefetch_related("after")
