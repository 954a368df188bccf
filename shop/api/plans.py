"""Plans and the jobs that make them."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import mixins, serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse

from orders.api.access import person_of, workshop_of
from orders.api.views import OfWorkshop
from orders.models import Commission
from shop.models import Booking, Job, Plan, PlanChange
from shop.services import jobs, moving, plan_changes, planning, promising
from shop.services.chart import late_work
from shop.services.comparing import compare


class PlanSerializer(serializers.ModelSerializer[Plan]):
    """An edition of the schedule."""

    class Meta:
        model = Plan
        fields = (
            "id",
            "number",
            "state",
            "made_at",
            "read_at",
            "method",
            "late_min",
            "objective",
            "lower_bound",
            "is_proved",
            "adopted_at",
        )
        read_only_fields = fields


class BookingSerializer(serializers.ModelSerializer[Booking]):
    """An operation's place in a plan; `stretches` are pairs of instants."""

    class Meta:
        model = Booking
        fields = (
            "id",
            "operation",
            "station",
            "hand",
            "helpers",
            "starts_at",
            "ends_at",
            "stretches",
            "overtime",
            "leaves_at",
            "returns_at",
        )
        read_only_fields = fields


class LateSerializer(serializers.Serializer[Any]):
    """An order that a plan finishes after its day."""

    commission = serializers.IntegerField(source="commission_id")
    mark = serializers.CharField()
    title = serializers.CharField()
    due_on = serializers.DateField()
    ends_at = serializers.DateTimeField()
    late_min = serializers.FloatField()


class JobSerializer(serializers.ModelSerializer[Job]):
    """Work that goes on by itself."""

    result = serializers.DictField(child=serializers.JSONField(), allow_null=True, read_only=True)

    class Meta:
        model = Job
        fields = (
            "id",
            "kind",
            "state",
            "progress",
            "step",
            "result",
            "problem",
            "made_at",
            "started_at",
            "ended_at",
        )
        read_only_fields = fields


class Plans(mixins.ListModelMixin, mixins.RetrieveModelMixin, OfWorkshop):
    """Plans, the newest first."""

    model = Plan
    serializer_class = PlanSerializer
    permission = {"GET": "shop.see_schedule", "POST": "shop.make_schedule"}
    lookup_value_regex = "[0-9]+"
    filterset_fields = ("state",)
    ordering_fields = ("number", "made_at")

    @extend_schema(request=None, responses={202: JobSerializer})
    def create(self, request: Request) -> Response:
        """Ask for a plan; while one is being made, that job is answered."""
        job = planning.ask_for_plan(workshop_of(request), by=person_of(request))
        response = Response(JobSerializer(job).data, status=202)
        response["Location"] = reverse("api-job-detail", [job.pk], request=request)
        return response


class PlanSteps(OfWorkshop):
    """What is done with a proposed plan."""

    model = Plan
    serializer_class = PlanSerializer
    permission = "shop.make_schedule"

    @extend_schema(request=None, responses=PlanSerializer)
    def adopt(self, request: Request, pk: int) -> Response:
        """Put it in force."""
        plan = planning.adopt(self.get_object(), by=person_of(request))
        return Response(self.get_serializer(plan).data)

    @extend_schema(request=None, responses=PlanSerializer)
    def keep(self, request: Request, pk: int) -> Response:
        """Keep it beside the plan in force; the next proposal does not displace it."""
        return Response(self.get_serializer(planning.keep(self.get_object())).data)

    @extend_schema(request=None, responses={204: None})
    def discard(self, request: Request, pk: int) -> Response:
        """Throw it away."""
        planning.discard(self.get_object())
        return Response(status=204)


class PlanContents(OfWorkshop):
    """What a plan says."""

    model = Plan
    serializer_class = BookingSerializer
    permission = "shop.see_schedule"

    @extend_schema(responses=BookingSerializer(many=True))
    def bookings(self, request: Request, pk: int) -> Response:
        """Every booking, in the order of time, in pages."""
        rows = self.get_object().bookings.prefetch_related("helpers")
        page = self.paginate_queryset(rows)
        return self.get_paginated_response(self.get_serializer(page, many=True).data)

    @extend_schema(responses=LateSerializer(many=True))
    def late(self, request: Request, pk: int) -> Response:
        """The orders that it finishes late."""
        return Response(LateSerializer(late_work(self.get_object()), many=True).data)


class FiguresSerializer(serializers.Serializer[Any]):
    """The measures of a plan, in minutes."""

    late_orders = serializers.IntegerField()
    late_min = serializers.FloatField()
    weighted_late_min = serializers.FloatField()
    setup_min = serializers.FloatField(allow_null=True)
    overtime_min = serializers.FloatField(allow_null=True)
    waiting_min = serializers.FloatField(allow_null=True)
    ends_at = serializers.DateTimeField(allow_null=True)
    least_chance = serializers.IntegerField(allow_null=True)


class OrderSideSerializer(serializers.Serializer[Any]):
    """An order in one plan; `chance` of being in time is in a hundred."""

    ends_at = serializers.DateTimeField()
    late_min = serializers.FloatField()
    chance = serializers.IntegerField(allow_null=True)


class OrderPairSerializer(serializers.Serializer[Any]):
    """An order in both plans; a side is absent where that plan does not have it."""

    commission = serializers.IntegerField(source="commission_id")
    mark = serializers.CharField()
    due_on = serializers.DateField(allow_null=True)
    one = OrderSideSerializer(allow_null=True)
    other = OrderSideSerializer(allow_null=True)


class MovedSerializer(serializers.Serializer[Any]):
    """An operation that is elsewhere in the other plan; `why` is empty where it is not known."""

    operation = serializers.IntegerField(source="operation_id")
    one = BookingSerializer()
    other = BookingSerializer()
    shift_min = serializers.FloatField()
    why = serializers.CharField()


class PlanComparisonSerializer(serializers.Serializer[Any]):
    """Two plans side by side; `figures` are of the one and of the other."""

    one = serializers.IntegerField(source="one.pk")
    other = serializers.IntegerField(source="other.pk")
    figures = FiguresSerializer(many=True)
    orders = OrderPairSerializer(many=True)
    moved = MovedSerializer(many=True)


class ComparedPlans(OfWorkshop):
    """A plan beside another."""

    model = Plan
    serializer_class = PlanComparisonSerializer
    permission = "shop.see_schedule"

    @extend_schema(operation_id="plans_compare", responses=PlanComparisonSerializer, tags=["plans"])
    def against(self, request: Request, pk: int, other: int) -> Response:
        """What the plan does otherwise than the other, for all work that is not done yet."""
        plan = self.get_object()
        found = compare(get_object_or_404(self.get_queryset(), pk=other), plan)
        return Response(self.get_serializer(found).data)


class PlanChangeSerializer(serializers.ModelSerializer[PlanChange]):
    """A change of pins or of the plan in force, by the numbers of the plans."""

    class Meta:
        model = PlanChange
        fields = ("id", "said", "number_before", "number_after", "made_at", "undone_at")
        read_only_fields = fields


class PlanChanges(mixins.ListModelMixin, OfWorkshop):
    """What was changed, the newest first."""

    model = PlanChange
    serializer_class = PlanChangeSerializer
    permission = {"GET": "shop.see_schedule", "POST": "shop.make_schedule"}
    lookup_value_regex = "[0-9]+"

    @extend_schema(request=None, responses=PlanChangeSerializer)
    def undo(self, request: Request, pk: int) -> Response:
        """Take the last change back."""
        change = plan_changes.undo(self.get_object(), by=person_of(request), at=timezone.now())
        return Response(self.get_serializer(change).data)

    @extend_schema(request=None, responses=PlanChangeSerializer)
    def redo(self, request: Request, pk: int) -> Response:
        """Make the change again that was taken back last, as long as nothing else was changed."""
        moving.make_again(self.get_object(), by=person_of(request), now=timezone.now())
        return Response(self.get_serializer(self.get_object()).data)


class DayAsked(serializers.Serializer[Any]):
    """From which day a commission can be worked on."""

    not_before = serializers.DateField(
        required=False, help_text="When its timber is there, for example; at once without."
    )


class HonestDateSerializer(serializers.Serializer[Any]):
    """When a commission can be done beside all that is in work.

    Half of such orders are done by `even_on`, four in five by `promised_on`, nine in ten by
    `safe_on`. `waits_for` is the kind of station that it waits for longest.
    """

    starts_on = serializers.DateField()
    planned_on = serializers.DateField()
    even_on = serializers.DateField()
    promised_on = serializers.DateField()
    safe_on = serializers.DateField()
    work_min = serializers.FloatField()
    waits_for = serializers.CharField()
    waits_min = serializers.FloatField()


class CommissionDates(OfWorkshop):
    """What can be promised of a commission."""

    model = Commission
    serializer_class = HonestDateSerializer
    permission = "shop.see_schedule"

    @extend_schema(parameters=[DayAsked], responses=HonestDateSerializer)
    def earliest(self, request: Request, pk: int) -> Response:
        """The earliest honest date of one that is not in work yet; nothing planned is moved."""
        asked = DayAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        found = promising.earliest_honest_date(
            self.get_object(),
            now=timezone.now(),
            not_before=asked.validated_data.get("not_before"),
        )
        return Response(self.get_serializer(found).data)


class Jobs(mixins.ListModelMixin, mixins.RetrieveModelMixin, OfWorkshop):
    """Jobs, the newest first."""

    model = Job
    serializer_class = JobSerializer
    permission = "shop.see_schedule"
    lookup_value_regex = "[0-9a-f-]{36}"
    filterset_fields = ("state", "kind")


class JobSteps(OfWorkshop):
    """Stopping a job."""

    model = Job
    serializer_class = JobSerializer
    permission = "shop.make_schedule"

    @extend_schema(request=None, responses=JobSerializer)
    def stop(self, request: Request, pk: Any) -> Response:
        """Ask it to stop; what it has found so far is kept."""
        jobs.stop(self.get_object())
        return Response(self.get_serializer(self.get_object()).data)
