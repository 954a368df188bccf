"""Commissions: what was asked for, its stage, its copy, and its way to the bench."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.exceptions import PermissionDenied
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse

from orders.api.access import person_of, workshop_of
from orders.api.fields import OwnRow
from orders.api.views import Idempotent, Kept, OfWorkshop
from orders.core.exposure import Exposure
from orders.core.stages import Stage
from orders.models import Client, Commission
from orders.services import commissions
from orders.services.release import release

MAY_MOVE = {
    Stage.IN_WORK: "orders.release_commissions",
    Stage.DELIVERED: "orders.release_commissions",
}
"""Moves that ask for more than editing."""


class CommissionSerializer(serializers.Serializer[Commission]):
    """An enquiry and what becomes of it."""

    id = serializers.IntegerField(read_only=True)
    version = serializers.IntegerField(read_only=True)
    mark = serializers.CharField(read_only=True)
    stage = serializers.ChoiceField(choices=[stage.value for stage in Stage], read_only=True)
    title = serializers.CharField(max_length=120)
    client = OwnRow(Client)
    exposure = serializers.ChoiceField(choices=[one.value for one in Exposure], required=False)
    glue_class = serializers.ChoiceField(
        choices=["D1", "D2", "D3", "D4"], required=False, allow_blank=True
    )
    glue_reason = serializers.CharField(max_length=200, required=False, allow_blank=True)
    due_on = serializers.DateField(required=False, allow_null=True)
    timber_on = serializers.DateField(required=False, allow_null=True)
    weight = serializers.DecimalField(max_digits=4, decimal_places=1, required=False)
    note = serializers.CharField(max_length=4000, required=False, allow_blank=True)


class MoveSerializer(serializers.Serializer[Any]):
    """The stage to move to, and a word on why."""

    to = serializers.ChoiceField(choices=[stage.value for stage in Stage])
    note = serializers.CharField(max_length=200, required=False, allow_blank=True)


class Commissions(Kept):
    """Commissions of the workshop."""

    model = Commission
    serializer_class = CommissionSerializer
    permission = {"GET": "orders.see_commissions", "*": "orders.edit_commissions"}
    http_method_names = ["get", "post", "patch", "head", "options"]
    filterset_fields = {
        "stage": ["exact"],
        "client": ["exact"],
        "due_on": ["exact", "gte", "lte"],
        "title": ["icontains"],
    }
    ordering_fields = ("number", "due_on", "title")
    address = "api-commission-detail"

    def add(self, request: Request, fields: dict[str, Any]) -> Commission:
        """Open a commission."""
        return commissions.open_commission(workshop_of(request), by=person_of(request), **fields)

    def change(self, row: Commission, version: int, fields: dict[str, Any]) -> Commission:
        """Change its heading."""
        return commissions.change_commission(row, version=version, **fields)


class CommissionCopies(Idempotent, OfWorkshop):
    """A copy of a commission, as an enquiry."""

    model = Commission
    serializer_class = CommissionSerializer
    permission = "orders.edit_commissions"

    @extend_schema(request=None, responses={201: CommissionSerializer})
    def create(self, request: Request, pk: int) -> Response:
        """Duplicate it with everything in it."""
        return self.once(request, lambda: self.made(request))

    def made(self, request: Request) -> Response:
        """The answer: the copy and its address."""
        copy = commissions.duplicate_commission(self.get_object(), by=person_of(request))
        response = Response(self.get_serializer(copy).data, status=201)
        response["Location"] = reverse("api-commission-detail", [copy.pk], request=request)
        return response


class CommissionMoves(OfWorkshop):
    """The stage of a commission."""

    model = Commission
    serializer_class = CommissionSerializer
    permission = "orders.see_commissions"

    @extend_schema(request=MoveSerializer, responses=CommissionSerializer)
    def move(self, request: Request, pk: int) -> Response:
        """Move it to another stage; an accepted one that goes into work is released."""
        commission = self.get_object()
        serializer = MoveSerializer(data=request.data)
        serializer.is_valid(raise_exception=True)
        to = Stage(serializer.validated_data["to"])
        if not request.user.has_perm(MAY_MOVE.get(to, "orders.edit_commissions")):
            raise PermissionDenied
        if to is Stage.IN_WORK and commission.stage == Stage.ACCEPTED:
            release(commission, by=person_of(request))
        else:
            note = serializer.validated_data.get("note", "")
            commissions.move(commission, to, by=person_of(request), note=note)
        return Response(self.get_serializer(self.get_object()).data)
