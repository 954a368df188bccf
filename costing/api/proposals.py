"""Proposed standards: looked at, adopted as an edition, refused, and the way back."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, viewsets
from rest_framework.request import Request
from rest_framework.response import Response

from costing.services import proposals
from orders.api.access import person_of, workshop_of
from orders.models import StandardEdition
from orders.services.standards import roll_back

LOOK, ADOPT = "costing.see_labour", "orders.edit_standards"
MOST_CELLS = 1000


class RowSerializer(serializers.Serializer[Any]):
    """The minutes of a row: set-up + pieces x (each + per driver x driver)."""

    setup_min = serializers.FloatField()
    each_min = serializers.FloatField()
    per_driver = serializers.FloatField()
    driver = serializers.CharField()


class ProposalSerializer(serializers.Serializer[proposals.Proposal]):
    """A row as it is and as it is proposed."""

    cell = serializers.IntegerField(source="cell.pk")
    joint = serializers.CharField(source="cell.joint")
    operation = serializers.CharField(source="cell.operation")
    method = serializers.CharField(source="cell.method")
    ratio = serializers.FloatField(source="cell.each_ratio")
    low = serializers.FloatField(source="cell.each_low")
    high = serializers.FloatField(source="cell.each_high")
    old = RowSerializer()
    new = RowSerializer()
    coming = serializers.DateField(allow_null=True)


class CellsSerializer(serializers.Serializer[Any]):
    """Which proposals are meant."""

    cells = serializers.ListField(child=serializers.IntegerField(), max_length=MOST_CELLS)
    note = serializers.CharField(max_length=200, required=False, allow_blank=True)


class AdoptSerializer(CellsSerializer):
    """And from which day they are in force."""

    valid_from = serializers.DateField()


class BackSerializer(serializers.Serializer[Any]):
    """From which day an earlier edition's minutes are in force again."""

    valid_from = serializers.DateField()


class EditionMadeSerializer(serializers.ModelSerializer[StandardEdition]):
    """The edition that was made."""

    class Meta:
        model = StandardEdition
        fields = ("id", "number", "valid_from", "note")
        read_only_fields = fields


class RefusedProposalSerializer(serializers.Serializer[Any]):
    """How many standards are left as they are."""

    refused = serializers.IntegerField()


class Proposals(viewsets.GenericViewSet[Any]):
    """What the clockings propose."""

    permission = {"GET": LOOK, "POST": ADOPT}
    serializer_class = ProposalSerializer
    filter_backends = ()

    def list(self, request: Request) -> Response:
        """Every proposal, the dearest for this year first."""
        page = self.paginate_queryset(list(proposals.proposals(workshop_of(request))))
        return self.get_paginated_response(self.get_serializer(page, many=True).data)

    @extend_schema(request=AdoptSerializer, responses={201: EditionMadeSerializer})
    def create(self, request: Request) -> Response:
        """Adopt some as the next edition."""
        sent = AdoptSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        edition = proposals.adopt(
            workshop_of(request), by=person_of(request), **sent.validated_data
        )
        return Response(EditionMadeSerializer(edition).data, status=201)

    @extend_schema(request=CellsSerializer, responses=RefusedProposalSerializer)
    def refuse(self, request: Request) -> Response:
        """Leave some as they are."""
        sent = CellsSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        count = proposals.refuse(
            workshop_of(request), by=person_of(request), at=timezone.now(), **sent.validated_data
        )
        return Response({"refused": count})


class EditionSteps(viewsets.GenericViewSet[Any]):
    """The way back to an earlier edition."""

    permission = ADOPT

    @extend_schema(request=BackSerializer, responses={201: EditionMadeSerializer})
    def back(self, request: Request, pk: int) -> Response:
        """Make the next edition with this one's minutes."""
        workshop = workshop_of(request)
        edition = get_object_or_404(StandardEdition.objects.of(workshop), pk=pk)
        sent = BackSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        made = roll_back(workshop, edition, by=person_of(request), **sent.validated_data)
        return Response(EditionMadeSerializer(made).data, status=201)
