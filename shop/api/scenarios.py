"""Scenarios: what a shop supposes of itself, and what that comes to."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse

from orders.api.access import person_of, workshop_of
from orders.api.views import Kept, OfWorkshop
from shop.models import Scenario
from shop.services import scenarios
from shop.services.scenario_planning import ask_for_scenarios

from .pins import MeasuresSerializer
from .plans import JobSerializer


@extend_schema_field({"type": "array", "items": {"type": "object"}})
class ChangesField(serializers.Field[Any, Any, Any, Any]):
    """What is supposed, each with its `kind`: hire, overtime, station, order, leave or away."""

    def to_internal_value(self, data: Any) -> Any:
        """Read by the service, which sets each fault at its place."""
        return data

    def to_representation(self, value: Any) -> Any:
        """As it is kept."""
        return value


class OrderOutcomeSerializer(serializers.Serializer[Any]):
    """An order in a scenario; `chance` of being in time is in a hundred."""

    commission = serializers.IntegerField()
    label = serializers.CharField()
    due_on = serializers.DateField(allow_null=True)
    ends_at = serializers.DateTimeField()
    late_min = serializers.FloatField()
    chance = serializers.IntegerField(allow_null=True)


class OutcomeSerializer(MeasuresSerializer):
    """The measures of a scenario and its orders; empty before it was planned."""

    least_chance = serializers.IntegerField(allow_null=True)
    narrowest = serializers.CharField()
    narrowest_percent = serializers.IntegerField()
    more_min_a_week = serializers.FloatField()
    orders = OrderOutcomeSerializer(many=True)


class ScenarioSerializer(serializers.Serializer[Scenario]):
    """A scenario under its name; `read_at` is the moment whose orders and hours its outcome knows."""

    id = serializers.IntegerField(read_only=True)
    version = serializers.IntegerField(read_only=True)
    name = serializers.CharField(max_length=60)
    is_base = serializers.BooleanField(read_only=True)
    changes = ChangesField(required=False)
    outcome = serializers.SerializerMethodField()
    fault = serializers.CharField(read_only=True)
    read_at = serializers.DateTimeField(read_only=True, allow_null=True)
    compared_with = serializers.IntegerField(
        source="compared_with_id", read_only=True, allow_null=True
    )

    @extend_schema_field(OutcomeSerializer(allow_null=True))
    def get_outcome(self, row: Scenario) -> Any:
        """What its planning came to."""
        return row.outcome or None


class Scenarios(Kept):
    """Scenarios; the shop as it stands is among them once they were planned."""

    model = Scenario
    serializer_class = ScenarioSerializer
    permission = "shop.make_schedule"
    http_method_names = ["get", "post", "patch", "delete", "head", "options"]
    filterset_fields = ("is_base",)
    address = "api-scenario-detail"

    def add(self, request: Request, fields: dict[str, Any]) -> Scenario:
        """Add one."""
        return scenarios.add_scenario(workshop_of(request), **read(fields))

    def change(self, row: Scenario, version: int, fields: dict[str, Any]) -> Scenario:
        """Rename it, or replace its changes."""
        return scenarios.change_scenario(row, version=version, **read(fields))

    def remove(self, row: Scenario, version: int) -> None:
        """Throw it away."""
        scenarios.remove_scenario(row, version=version)


def read(fields: dict[str, Any]) -> dict[str, Any]:
    """With the changes as the service takes them; raises RuleBroken at their place."""
    if "changes" not in fields:
        return fields
    document = {"changes": fields["changes"]}
    return {**fields, "changes": scenarios.read_changes(document)}


class ScenarioPlanning(OfWorkshop):
    """The planning of all scenarios."""

    model = Scenario
    serializer_class = JobSerializer
    permission = {"POST": "shop.make_schedule"}

    @extend_schema(request=None, responses={202: JobSerializer})
    def plan(self, request: Request) -> Response:
        """Ask for it; while they are being planned, that job is answered."""
        job = ask_for_scenarios(workshop_of(request), by=person_of(request))
        response = Response(JobSerializer(job).data, status=202)
        response["Location"] = reverse("api-job-detail", [job.pk], request=request)
        return response
