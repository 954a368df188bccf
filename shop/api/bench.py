"""The bench and the time book: what a hand does, did, and does next."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta
from functools import cached_property
from typing import Any

from django.http import Http404
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import exceptions, mixins, serializers
from rest_framework.request import Request
from rest_framework.response import Response

from orders.api.access import member_of, person_of, workshop_of
from orders.api.fields import EARLIEST, LATEST, Instant, OwnRow
from orders.api.views import OfWorkshop, Versioned
from orders.models import Operation
from shop.models import Clocking, Hand
from shop.services import clocking
from shop.services.bench import BenchView, BenchWork, bench
from shop.services.days import DaySheet, day_sheet
from shop.services.paid import runs_in, unpaid_in


class ClockingSerializer(serializers.ModelSerializer[Clocking]):
    """One stretch of time of one hand on one operation."""

    minutes = serializers.FloatField(read_only=True, allow_null=True)
    paid_minutes = serializers.SerializerMethodField(
        help_text="Less than the minutes where a minded run's hand did light work meanwhile."
    )

    class Meta:
        model = Clocking
        fields = (
            "id",
            "version",
            "key",
            "operation",
            "hand",
            "station",
            "started_at",
            "ended_at",
            "minutes",
            "paid_minutes",
            "attention",
            "area",
            "pieces",
            "is_invented",
        )
        read_only_fields = fields

    @cached_property
    def unpaid(self) -> Mapping[int, timedelta]:
        """What hands are paid for elsewhere, read once for all that are answered."""
        many = isinstance(self.parent, serializers.ListSerializer)
        shown: Any = self.parent.instance if many else [self.instance]
        return unpaid_in(runs_in(shown))

    def get_paid_minutes(self, row: Clocking) -> float | None:
        """What its hand is paid of it."""
        if row.minutes is None:
            return None
        return row.minutes - self.unpaid.get(row.pk, timedelta()) / timedelta(minutes=1)


class CorrectionSerializer(serializers.Serializer[Any]):
    """What it should have said, and why; what it said is kept."""

    started_at = Instant()
    ended_at = Instant(allow_null=True)
    pieces = serializers.IntegerField(min_value=0, max_value=1_000_000)
    reason = serializers.CharField(max_length=200)


class StartSerializer(serializers.Serializer[Any]):
    """Whose bench, when, and a key of one's own by which a repeat is known."""

    hand = OwnRow(Hand, required=False)
    at = Instant(required=False)
    key = serializers.UUIDField()


class EndSerializer(serializers.Serializer[Any]):
    """Whose bench, when, and how many pieces were finished in the stretch."""

    hand = OwnRow(Hand, required=False)
    at = Instant(required=False)
    pieces = serializers.IntegerField(min_value=0, max_value=1_000_000)


class Clockings(Versioned, mixins.ListModelMixin, OfWorkshop):
    """The time book, the newest first."""

    model = Clocking
    serializer_class = ClockingSerializer
    permission = {"GET": "shop.see_clockings", "PATCH": "shop.correct_clockings"}
    lookup_value_regex = "[0-9]+"
    filterset_fields = {
        "operation": ["exact"],
        "operation__commission": ["exact"],
        "hand": ["exact"],
        "started_at": ["gte", "lte"],
    }
    ordering_fields = ("started_at", "ended_at")

    def retrieve(self, request: Request, pk: str) -> Response:
        """One clocking, with its ETag."""
        return self.answer(self.get_object())

    @extend_schema(request=CorrectionSerializer, responses=ClockingSerializer)
    def partial_update(self, request: Request, pk: str) -> Response:
        """Correct it."""
        row = self.get_object()
        version = self.expected_version(request, row)
        serializer = CorrectionSerializer(data=request.data)
        serializer.is_valid(raise_exception=True)
        changed = clocking.correct(
            row,
            by=person_of(request),
            at=timezone.now(),
            version=version,
            **serializer.validated_data,
        )
        return self.answer(changed)

    def answer(self, row: Clocking) -> Response:
        """A clocking with its ETag."""
        return Response(self.get_serializer(row).data, headers={"ETag": self.etag(row)})


class Clock(OfWorkshop):
    """Starting, pausing and finishing an operation; repeating a call changes nothing."""

    model = Operation
    serializer_class = ClockingSerializer
    permission = "shop.clock"

    @extend_schema(request=StartSerializer, responses=ClockingSerializer)
    def start(self, request: Request, pk: int) -> Response:
        """Begin it; what the hand was doing is paused, unless both may be done at once."""
        operation = self.get_object()
        sent = self.sent(StartSerializer)
        done = clocking.start(
            operation,
            self.hand(sent),
            at=sent.get("at") or timezone.now(),
            key=sent["key"],
            by=person_of(request),
        )
        return Response(self.get_serializer(done).data)

    @extend_schema(request=EndSerializer, responses=ClockingSerializer)
    def finish(self, request: Request, pk: int) -> Response:
        """End the stretch with the pieces that were finished; the last of them finishes it."""
        operation = self.get_object()
        sent = self.sent(EndSerializer)
        at = sent.get("at") or timezone.now()
        done = clocking.finish(operation, self.hand(sent), at=at, pieces=sent["pieces"])
        return Response(self.get_serializer(done).data)

    def sent(self, kind: type[serializers.Serializer[Any]]) -> dict[str, Any]:
        """The values of the body."""
        serializer = kind(data=self.request.data, context={"request": self.request})
        serializer.is_valid(raise_exception=True)
        values: dict[str, Any] = serializer.validated_data
        return values

    def hand(self, sent: dict[str, Any]) -> Hand:
        """The hand that is named, or one's own."""
        return sent.get("hand") or own_hand(self.request)


def own_hand(request: Request) -> Hand:
    """The hand of whoever asks; a foreman names one instead."""
    hand: Hand | None = (
        Hand.objects.of(workshop_of(request)).filter(membership=member_of(request)).first()
    )
    if hand is None:
        raise exceptions.ValidationError({"hand": "You are no hand here; name whose bench it is."})
    return hand


class WorkSerializer(serializers.Serializer[Any]):
    """An operation as the bench shows it; `waits` are reasons why it cannot be begun yet."""

    operation = serializers.IntegerField(source="operation.pk")
    mark = serializers.CharField(source="operation.mark")
    name = serializers.CharField(source="operation.name")
    state = serializers.CharField(source="operation.state")
    pieces_left = serializers.IntegerField()
    standard_min = serializers.FloatField()
    used_min = serializers.FloatField()
    rest_min = serializers.FloatField()
    station = serializers.CharField(allow_blank=True)
    planned_start = serializers.DateTimeField(allow_null=True)
    planned_end = serializers.DateTimeField(allow_null=True)
    waits = serializers.ListField(child=serializers.CharField())
    goes_beside = serializers.BooleanField(
        help_text="It may be begun while what the hand is doing goes on."
    )


class BenchSerializer(serializers.Serializer[Any]):
    """A hand's bench."""

    hand = serializers.IntegerField()
    at = serializers.DateTimeField()
    plan_number = serializers.IntegerField(allow_null=True)
    running = WorkSerializer(allow_null=True)
    running_clocking = serializers.IntegerField(allow_null=True)
    minded = WorkSerializer(allow_null=True, help_text="A machine that runs beside it.")
    minded_clocking = serializers.IntegerField(allow_null=True)
    paused = WorkSerializer(many=True)
    next = WorkSerializer(many=True)


class DayItemSerializer(serializers.Serializer[Any]):
    """One piece of work of a day."""

    operation = serializers.IntegerField(source="bar.operation_id")
    mark = serializers.CharField(source="bar.mark")
    name = serializers.CharField(source="bar.name")
    assembly = serializers.CharField(source="bar.assembly")
    station = serializers.CharField(source="bar.station", allow_blank=True)
    starts_at = serializers.DateTimeField(source="bar.start")
    ends_at = serializers.DateTimeField(source="bar.end")
    pieces = serializers.IntegerField()
    pieces_done = serializers.IntegerField()


class DaySerializer(serializers.Serializer[Any]):
    """A hand's day."""

    hand = serializers.CharField()
    on = serializers.DateField()
    plan_number = serializers.IntegerField(allow_null=True)
    closed = serializers.ListField(child=serializers.CharField())
    issue = serializers.IntegerField(allow_null=True)
    changed = serializers.ListField(child=serializers.CharField())
    items = DayItemSerializer(many=True)


class HandWork(OfWorkshop):
    """What one hand has to do; a hand sees only their own."""

    model = Hand
    permission = "shop.see_own_day"

    def get_queryset(self) -> Any:
        """With what the services read."""
        return super().get_queryset().select_related("workshop").prefetch_related("skills")

    @extend_schema(responses=BenchSerializer)
    def bench(self, request: Request, pk: int) -> Response:
        """What is running, paused, and next."""
        view: BenchView = bench(self.seen(), timezone.now())
        running: BenchWork | None = view.running.work if view.running else None
        told = {
            "hand": view.hand.pk,
            "at": view.at,
            "plan_number": view.plan_number,
            "running": running,
            "running_clocking": view.running.clocking.pk if view.running else None,
            "minded": view.minded.work if view.minded else None,
            "minded_clocking": view.minded.clocking.pk if view.minded else None,
            "paused": view.paused,
            "next": view.next,
        }
        return Response(BenchSerializer(told).data)

    @extend_schema(
        parameters=[OpenApiParameter("on", OpenApiTypes.DATE, description="Today unless given.")],
        responses=DaySerializer,
    )
    def day(self, request: Request, pk: int) -> Response:
        """The day sheet."""
        hand = self.seen()
        field = serializers.DateField(required=False)
        asked = request.query_params.get("on")
        try:
            on = field.run_validation(asked) if asked else timezone.localdate()
        except exceptions.ValidationError as error:
            raise exceptions.ValidationError({"on": error.detail}) from error
        if not EARLIEST.date() < on < LATEST.date():
            raise exceptions.ValidationError({"on": "Give a day of this age."})
        found: DaySheet = day_sheet(hand, on)
        return Response(DaySerializer(found).data)

    def seen(self) -> Hand:
        """The hand, if whoever asks may see its day."""
        hand: Hand = self.get_object()
        is_own = hand.membership_id == member_of(self.request).pk
        if not is_own and not person_of(self.request).has_perm("shop.see_schedule"):
            raise Http404
        return hand
