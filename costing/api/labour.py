"""Labour per joint type: standard against clocked minutes, one row for each operation."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers, viewsets
from rest_framework.request import Request
from rest_framework.response import Response

from costing.services.labour import Asked, labour
from orders.api.access import workshop_of
from orders.core.times import Method
from shop.models import Workshop

METHODS = [method.value for method in (Method.HAND, Method.MACHINE)]


class AskedSerializer(serializers.Serializer[Asked]):
    """Which batches are looked at; all of them if nothing is said."""

    since = serializers.DateField(required=False)
    until = serializers.DateField(required=False)
    species = serializers.CharField(required=False, max_length=40)
    method = serializers.ChoiceField(METHODS, required=False)
    joint_type = serializers.CharField(required=False, max_length=40)


class LabourLineSerializer(serializers.Serializer[dict[str, Any]]):
    """All clockings of one operation of a joint type."""

    joint_type = serializers.CharField()
    joint = serializers.CharField(help_text="The joint type in words.")
    operation = serializers.CharField()
    name = serializers.CharField(help_text="The operation in words.")
    clockings = serializers.IntegerField()
    pieces = serializers.IntegerField()
    standard_min = serializers.FloatField()
    taken_min = serializers.FloatField()
    total_ratio = serializers.FloatField(help_text="Taken over standard, in total.")
    ratio = serializers.FloatField(help_text="Taken over standard, typically.")
    low = serializers.FloatField(allow_null=True, help_text="Of the ratio, at 80 % confidence.")
    high = serializers.FloatField(allow_null=True)
    proposed_ratio = serializers.FloatField()
    note = serializers.CharField()


class Labour(viewsets.GenericViewSet[Any]):
    """Labour lines."""

    permission = "costing.see_labour"
    serializer_class = LabourLineSerializer
    filter_backends = ()

    @extend_schema(parameters=[AskedSerializer])
    def list(self, request: Request) -> Response:
        """Estimated against taken minutes by joint type and operation."""
        asked = AskedSerializer(data=request.query_params.dict())
        asked.is_valid(raise_exception=True)
        rows = list(lines(workshop_of(request), **asked.validated_data))
        page = self.paginate_queryset(rows)
        return self.get_paginated_response(self.get_serializer(page, many=True).data)


def lines(workshop: Workshop, joint_type: str = "", **asked: Any) -> Iterator[dict[str, Any]]:
    """The lines of every joint type, or of one."""
    for joint in labour(workshop, Asked(**asked)):
        for one in joint.operations:
            if not joint_type or joint.code == joint_type:
                line = one.line
                names = LabourLineSerializer().fields.keys() - {"joint", "name"}
                values = {name: getattr(line, name) for name in names}
                yield {**values, "joint": joint.label, "name": one.name}
