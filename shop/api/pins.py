"""Pins: an operation moved or locked, with the consequence before it is kept."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from orders.api.access import person_of
from orders.api.fields import Instant, OwnRow
from orders.api.views import OfWorkshop
from orders.models import Operation
from shop.models import Hand, Pin, Station
from shop.services import moving, pins
from shop.services.pins import Wish


class WishSerializer(serializers.Serializer[Any]):
    """Where an operation is wanted; what is left out is for the plan to choose."""

    station = OwnRow(Station, required=False, allow_null=True)
    hand = OwnRow(Hand, required=False, allow_null=True)
    starts_at = Instant(required=False, allow_null=True)


class MeasuresSerializer(serializers.Serializer[Any]):
    """The owner's measures of a plan, in minutes."""

    late_min = serializers.FloatField()
    late_orders = serializers.ListField(child=serializers.CharField())
    overtime_min = serializers.FloatField()
    setup_min = serializers.FloatField()
    in_progress_min = serializers.FloatField()
    waiting_min = serializers.FloatField()
    cost_min = serializers.FloatField()
    ends_at = serializers.DateTimeField(allow_null=True)


class LatenessSerializer(serializers.Serializer[Any]):
    """An order that would end later or sooner against its day."""

    title = serializers.CharField()
    before_min = serializers.FloatField()
    after_min = serializers.FloatField()


class ConsequenceSerializer(serializers.Serializer[Any]):
    """What would come of a wish; `moves` are names of operations, each with a sentence."""

    starts_at = serializers.DateTimeField()
    ends_at = serializers.DateTimeField()
    station = serializers.CharField()
    hands = serializers.CharField()
    before = MeasuresSerializer()
    after = MeasuresSerializer()
    orders = LatenessSerializer(many=True)
    moves = serializers.ListField(child=serializers.ListField(child=serializers.CharField()))
    more_moves = serializers.IntegerField()


class PinSerializer(serializers.ModelSerializer[Pin]):
    """What of an operation's place is fixed."""

    class Meta:
        model = Pin
        fields = ("operation", "station", "hand", "starts_at", "changed_at")
        read_only_fields = fields


class FittedSerializer(serializers.Serializer[Any]):
    """The plan round a change, or the sentence that says why there is none."""

    plan = serializers.IntegerField(source="plan.pk", allow_null=True, default=None)
    fault = serializers.CharField()


class OperationPin(OfWorkshop):
    """The pin of an operation."""

    model = Operation
    serializer_class = PinSerializer
    permission = {"GET": "shop.see_schedule", "*": "shop.make_schedule"}

    @extend_schema(operation_id="operation_pin", responses=PinSerializer, tags=["pins"])
    def read(self, request: Request, pk: int) -> Response:
        """What is fixed of it; 404 without a pin."""
        return Response(PinSerializer(get_object_or_404(Pin, operation=self.get_object())).data)

    @extend_schema(
        operation_id="operation_pin_set",
        request=WishSerializer,
        responses=FittedSerializer,
        tags=["pins"],
    )
    def set(self, request: Request, pk: int) -> Response:
        """Pin it, and fit the plan to it."""
        wish = wish_in(self, request.data)
        fitted = moving.move(self.get_object(), wish, by=person_of(request), now=timezone.now())
        return Response(FittedSerializer(fitted).data)

    @extend_schema(
        operation_id="operation_pin_take_out",
        request=None,
        responses={200: FittedSerializer},
        tags=["pins"],
    )
    def take_out(self, request: Request, pk: int) -> Response:
        """Take the pin out, and fit the plan."""
        fitted = moving.give_back(self.get_object(), by=person_of(request), now=timezone.now())
        return Response(FittedSerializer(fitted).data)


class OperationConsequence(OfWorkshop):
    """What a pin would do."""

    model = Operation
    serializer_class = ConsequenceSerializer
    permission = "shop.make_schedule"

    @extend_schema(
        operation_id="operation_consequence",
        request=WishSerializer,
        responses=ConsequenceSerializer,
        tags=["pins"],
    )
    def look(self, request: Request, pk: int) -> Response:
        """What would come of a wish; nothing is kept."""
        wish = wish_in(self, request.data)
        found = pins.consequence(self.get_object(), wish, now=timezone.now())
        return Response(ConsequenceSerializer(found).data)


def wish_in(view: OfWorkshop, data: Any) -> Wish:
    """A wish as it was sent; OwnRow narrows what it names to the workshop."""
    sent = WishSerializer(data=data, context=view.get_serializer_context())
    sent.is_valid(raise_exception=True)
    return Wish(**sent.validated_data)
