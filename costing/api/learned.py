"""What was learned of labour: cells, doubts, changes of working, hands; and what people say of it."""

from __future__ import annotations

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import mixins, serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse

from costing.models import (
    ClockingJudgement,
    DoubtfulClocking,
    HandEffect,
    LabourChange,
    LearnedCell,
)
from costing.services import judging, learning
from orders.api.access import person_of, workshop_of
from orders.api.views import OfWorkshop
from orders.core.times import Method
from shop.api.plans import JobSerializer

READ, JUDGE = "costing.see_labour", "costing.judge_labour"


class CellSerializer(serializers.ModelSerializer[LearnedCell]):
    """A row of the standard times: what a piece and the set-up take, as shares of the standard."""

    class Meta:
        model = LearnedCell
        fields = (
            "id",
            "joint",
            "operation",
            "method",
            "clockings",
            "effective",
            "weight",
            "each_ratio",
            "each_low",
            "each_high",
            "setup_ratio",
            "setup_low",
            "setup_high",
        )
        read_only_fields = fields


class DoubtSerializer(serializers.ModelSerializer[DoubtfulClocking]):
    """All that a hand clocked on an operation, where it looks wrong."""

    class Meta:
        model = DoubtfulClocking
        fields = ("id", "operation", "hand", "minutes", "expected_min", "chance_wrong")
        read_only_fields = fields


class JudgementSerializer(serializers.ModelSerializer[ClockingJudgement]):
    """What a person said of a doubtful clocking."""

    class Meta:
        model = ClockingJudgement
        fields = ("operation", "hand", "minutes", "is_sound", "note", "at")
        read_only_fields = ("operation", "hand", "minutes", "at")


class ChangeSerializer(serializers.ModelSerializer[LabourChange]):
    """A day from which an operation goes otherwise."""

    method = serializers.ChoiceField([method.value for method in Method])

    class Meta:
        model = LabourChange
        fields = ("id", "joint", "operation", "method", "on", "state", "factor", "note", "at")
        read_only_fields = ("id", "state", "factor", "at")
        validators: list[Any] = []


class SettledSerializer(serializers.Serializer[Any]):
    """Whether a change is real."""

    is_real = serializers.BooleanField()


class HandEffectSerializer(serializers.ModelSerializer[HandEffect]):
    """A hand's minutes as a share of what is usual here; an empty operation is all of them."""

    class Meta:
        model = HandEffect
        fields = ("id", "hand", "operation", "factor", "low", "high")
        read_only_fields = fields


class Cells(mixins.ListModelMixin, mixins.RetrieveModelMixin, OfWorkshop):
    """The newest fit, cell by cell."""

    model = LearnedCell
    serializer_class = CellSerializer
    permission = {"GET": READ, "POST": JUDGE}
    lookup_value_regex = "[0-9]+"
    filterset_fields = ("joint", "operation", "method")

    @extend_schema(request=None, responses={202: JobSerializer})
    def create(self, request: Request) -> Response:
        """Have the clockings learned from; while that goes on, the same job is answered."""
        job = learning.ask_to_learn(workshop_of(request), by=person_of(request))
        response = Response(JobSerializer(job).data, status=202)
        response["Location"] = reverse("api-job-detail", [job.pk], request=request)
        return response


class Doubts(mixins.ListModelMixin, mixins.RetrieveModelMixin, OfWorkshop):
    """Clockings that look wrong."""

    model = DoubtfulClocking
    serializer_class = DoubtSerializer
    permission = JUDGE
    lookup_value_regex = "[0-9]+"
    filterset_fields = ("operation", "hand")


class DoubtSteps(OfWorkshop):
    """Judging one of them."""

    model = DoubtfulClocking
    serializer_class = JudgementSerializer
    permission = JUDGE

    @extend_schema(request=JudgementSerializer, responses=JudgementSerializer)
    def judge(self, request: Request, pk: int) -> Response:
        """Say that it is right, or wrong; it is kept either way."""
        doubt = self.get_object()
        sent = self.get_serializer(data=request.data)
        sent.is_valid(raise_exception=True)
        said = judging.judge(doubt, by=person_of(request), at=timezone.now(), **sent.validated_data)
        return Response(self.get_serializer(said).data)


class Changes(mixins.ListModelMixin, mixins.RetrieveModelMixin, OfWorkshop):
    """Changes of working: found, marked and refused."""

    model = LabourChange
    serializer_class = ChangeSerializer
    permission = {"GET": READ, "POST": JUDGE}
    lookup_value_regex = "[0-9]+"
    filterset_fields = ("state", "operation")

    def create(self, request: Request) -> Response:
        """Mark a change; marking the same day again changes its note."""
        sent = self.get_serializer(data=request.data)
        sent.is_valid(raise_exception=True)
        asked = {"joint": "", **sent.validated_data}
        change = judging.mark_change(
            workshop_of(request), by=person_of(request), at=timezone.now(), **asked
        )
        return Response(self.get_serializer(change).data, status=201)


class ChangeSteps(OfWorkshop):
    """Settling one of them."""

    model = LabourChange
    serializer_class = ChangeSerializer
    permission = JUDGE

    @extend_schema(request=SettledSerializer, responses=ChangeSerializer)
    def settle(self, request: Request, pk: int) -> Response:
        """Keep it, or refuse it; a refused one is not found again."""
        change = self.get_object()
        sent = SettledSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        done = judging.settle_change(
            change, by=person_of(request), at=timezone.now(), **sent.validated_data
        )
        return Response(self.get_serializer(done).data)


class HandEffects(mixins.ListModelMixin, mixins.RetrieveModelMixin, OfWorkshop):
    """How hands compare; for the owner only."""

    model = HandEffect
    serializer_class = HandEffectSerializer
    permission = "costing.see_hand_effects"
    lookup_value_regex = "[0-9]+"
    filterset_fields = ("hand", "operation")
