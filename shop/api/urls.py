"""The programmers' addresses of the workshop."""

from typing import Any

from django.urls import URLPattern, include, path
from django.urls.resolvers import URLResolver
from rest_framework.routers import SimpleRouter

from shop.api import bench, description, people, pins, plans, scenarios, works

router = SimpleRouter()
router.register("stations", works.Stations, "api-station")
router.register("hands", works.Hands, "api-hand")
router.register("calendars", works.Calendars, "api-calendar")
router.register("closures", works.Closures, "api-closure")
router.register("people", people.Members, "api-member")
router.register("tokens", people.Tokens, "api-token")
router.register("clockings", bench.Clockings, "api-clocking")
router.register("plans", plans.Plans, "api-plan")
router.register("scenarios", scenarios.Scenarios, "api-scenario")
router.register("jobs", plans.Jobs, "api-job")


def on(method: str, action: str) -> Any:
    """One method of an address, answered by one action."""
    return {method: action}


AGAINST = plans.ComparedPlans.as_view(on("get", "against"))
PIN = pins.OperationPin.as_view({"get": "read", "put": "set", "delete": "take_out"})
CONSEQUENCE = pins.OperationConsequence.as_view(on("post", "look"))
EARLIEST = plans.CommissionDates.as_view(on("get", "earliest"))

urlpatterns: list[URLPattern | URLResolver] = [
    path("schema/", description.Schema.as_view(), name="api-schema"),
    path("docs/", description.Docs.as_view(), name="api-docs"),
    path("token/", people.SignIn.as_view()),
    path("workshop/", people.OwnWorkshop.as_view()),
    path("scenarios/plan/", scenarios.ScenarioPlanning.as_view(on("post", "plan"))),
    path("", include(router.urls)),
    path("operations/<int:pk>/start/", bench.Clock.as_view(on("post", "start"))),
    path("operations/<int:pk>/finish/", bench.Clock.as_view(on("post", "finish"))),
    path("operations/<int:pk>/pin/", PIN),
    path("operations/<int:pk>/consequence/", CONSEQUENCE),
    path("hands/<int:pk>/bench/", bench.HandWork.as_view(on("get", "bench"))),
    path("hands/<int:pk>/day/", bench.HandWork.as_view(on("get", "day"))),
    path("plans/<int:pk>/adopt/", plans.PlanSteps.as_view(on("post", "adopt"))),
    path("plans/<int:pk>/discard/", plans.PlanSteps.as_view(on("post", "discard"))),
    path("plans/<int:pk>/keep/", plans.PlanSteps.as_view(on("post", "keep"))),
    path("plans/<int:pk>/against/<int:other>/", AGAINST),
    path("plan-changes/", plans.PlanChanges.as_view(on("get", "list"))),
    path("plan-changes/<int:pk>/undo/", plans.PlanChanges.as_view(on("post", "undo"))),
    path("plan-changes/<int:pk>/redo/", plans.PlanChanges.as_view(on("post", "redo"))),
    path("plans/<int:pk>/bookings/", plans.PlanContents.as_view(on("get", "bookings"))),
    path("plans/<int:pk>/late/", plans.PlanContents.as_view(on("get", "late"))),
    path("commissions/<int:pk>/earliest-date/", EARLIEST),
    path("jobs/<uuid:pk>/stop/", plans.JobSteps.as_view(on("post", "stop"))),
]
