"""Planning: a job asks the planner for a better plan; a foreman adopts it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db import transaction
from django.db.models import Max
from django.utils import timezone

from orders.core.errors import NotNow
from orders.core.stages import Stage
from orders.core.times import StationKind
from orders.models import Operation
from shop.core.plan import schedule as core
from shop.core.plan.compiled import is_ready
from shop.core.plan.planner import plan as make_plan
from shop.core.plan.prices import Measure
from shop.core.plan.problem import Problem
from shop.core.plan.promise import Promise
from shop.core.plan.schedule import Budget, Progress, Schedule
from shop.models import (
    Booking,
    Job,
    Plan,
    PlanChange,
    User,
    Workshop,
)

from .changes import changes_in
from .disturbance import changes, is_disturbed
from .jobs import Claim, Stopped, ask, call_again, work
from .keys import held_key, row_of
from .plan_changes import Standing, add_plan, change_to, put_in_force, put_pins, record
from .problem import problem_for
from .promising import bookings_without, known_bookings, promises_of
from .told import with_told

KIND = "plan"
MOST_TRIES = 100_000_000
KEPT_PLANS = 20
MOST_KEPT = 8
OFFERED = (Plan.State.PROPOSED, Plan.State.KEPT)
WITHOUT = "without"
REPAIR = Budget(evaluations=4_000, seconds=1.0)
"""The plan in force put together again, and bettered for as long as a person can wait."""


def ask_for_plan(workshop: Workshop, *, by: User | None) -> Job:
    """Have the shop planned; while one such job is unfinished, that one is given."""
    return ask(KIND, workshop, by=by, once=KIND)


def mend_soon(workshop: Workshop, *, without: PlanChange | None = None) -> Job | None:
    """Have the plan in force fitted to what has just changed, then bettered; None without one.

    A job of planning that is under way begins anew: there never are two. `without` is a change of
    the plan whose cause is gone: what it moved goes back, as far as that can be.
    """
    if not Plan.objects.in_force().of(workshop).exists() or not has_work(workshop):
        return None
    under_way: Job | None = Job.objects.unfinished().of(workshop).filter(once=KIND).first()
    if under_way is not None:
        # Only once what was changed can be read: else the job could begin anew too soon.
        transaction.on_commit(partial(_call_again, under_way, _payload(without)))
        return under_way
    return ask(KIND, workshop, _payload(without), by=None, once=KIND)


def _payload(without: PlanChange | None) -> dict[str, Any]:
    return {} if without is None else {WITHOUT: without.pk}


def _call_again(job: Job, payload: Mapping[str, Any]) -> None:
    if not call_again(job, payload):
        ask(KIND, job.workshop, payload, by=None, once=KIND)


def heed(workshop_id: int) -> Job | None:
    """Have the plan mended at once if what happened disturbs it; None where it does not."""
    workshop = Workshop.objects.filter(pk=workshop_id).first()
    if workshop is None or not is_disturbed(workshop, timezone.now()):
        return None
    return mend_soon(workshop)


@work(KIND)
def plan_workshop(claim: Claim) -> Mapping[str, Any]:
    """Make the best plan within the time allowed and store it.

    Where the shop has changed since it was planned, the plan in force is fitted to that first and
    offered at once; what betters it takes its place, as one change of the plan. Where the shop
    changes meanwhile, all that begins anew. A stop ends the search; the best plan so far is kept.
    """
    stored = Plan.objects.filter(job=claim.job).first()
    if stored is not None:
        return _result(stored)
    plan = None
    while plan is None:
        plan = _planned(claim)
    if claim.is_stop_wanted():
        raise Stopped(_result(plan))
    return _result(plan)


def _planned(claim: Claim) -> Plan | None:
    """Mends and plans; None where the shop changed on the way."""
    claim.begin()
    claim.report(0.0, "Reading what is to be done")
    workshop = claim.job.workshop
    without = PlanChange.objects.of(workshop).filter(pk=claim.payload.get(WITHOUT)).first()
    asked = Asked.of(workshop, without=without)
    known, within = asked.start, None
    if known and (is_stale(workshop) or is_disturbed(workshop, asked.read_at)):
        claim.report(0.0, "Fitting the plan in force to what has changed")
        mended = _mended(asked)
        with transaction.atomic():
            claim.hold()
            within = change_to(offer(workshop, asked, mended, by=claim.job.made_by))
        known = {booking.task: booking for booking in mended.bookings}
    schedule = make_plan(
        asked.problem,
        known=known,
        budget=whole_budget(),
        progress=lambda word: claim.report(word.share, partial(_step, word), heed_stop=False),
        stop=claim.is_called_off,
        is_compiled=is_ready(),
    )
    if claim.is_called_again() and not claim.is_stop_wanted():
        return None
    told_of = asked.told_of(schedule)
    return store(claim, schedule, read_at=asked.read_at, told_of=told_of, within=within)


def whole_budget() -> Budget:
    """All the time that the shop allows for finding a plan."""
    return Budget(evaluations=MOST_TRIES, seconds=float(settings.PLANNING_SECONDS))


def repair(
    workshop: Workshop,
    *,
    by: User | None,
    within: PlanChange | None = None,
    without: PlanChange | None = None,
) -> Plan | None:
    """Fit the plan in force to all that has changed since, at once; a job can better it later.

    What people were told stays where that can be. None without a plan in force. `within` is the
    change that this is part of, and is taken back with; `without` is as in `mend_soon`.
    Raises NotReady, RuleBroken or RulesBroken when the work cannot be planned.
    """
    asked = Asked.of(workshop, without=without)
    if not asked.known:
        return None
    return offer(workshop, asked, _mended(asked), by=by, within=within)


def _mended(asked: Asked) -> Schedule:
    return make_plan(asked.problem, known=asked.start, budget=REPAIR, is_compiled=is_ready())


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What is to be planned as it was read, and the bookings that the shop works to.

    `start` are those that planning starts from.
    """

    problem: Problem
    known: Mapping[str, core.Booking]
    start: Mapping[str, core.Booking]
    zone: ZoneInfo
    read_at: datetime
    standing: Standing

    @classmethod
    @transaction.atomic
    def of(cls, workshop: Workshop, *, without: PlanChange | None = None) -> Asked:
        """As it stands now; what a change moved that is taken back is told as it was before."""
        read_at, zone = timezone.now(), ZoneInfo(workshop.time_zone)
        problem, known = problem_for(workshop, read_at), known_bookings(workshop)
        start = known if without is None else bookings_without(without, known)
        if known:
            problem = with_told(problem, start, zone)
        return cls(
            problem=problem,
            known=known,
            start=start,
            zone=zone,
            read_at=read_at,
            standing=Standing.of(workshop),
        )

    def told_of(self, schedule: Schedule) -> Mapping[str, Any]:
        """What is told of a plan beside its figures.

        Its promises, what it changes and why, and the pins that it was made with.
        """
        after = {booking.task: booking for booking in schedule.bookings}
        return {
            "promises": _promised(promises_of(self.problem, schedule.bookings)),
            "changes": changes_in(self.problem, self.known, after, self.zone),
            "against": self.standing.plan.number if self.standing.plan else None,
            "pins": list(self.standing.pins),
            **_gone_by(self.problem),
        }


@transaction.atomic
def offer(
    workshop: Workshop,
    asked: Asked,
    schedule: Schedule,
    *,
    by: User | None,
    within: PlanChange | None = None,
) -> Plan:
    """Keep a schedule that answers what was asked as the newest plan, as `store` does for a job."""
    return _keep(
        workshop,
        schedule,
        read_at=asked.read_at,
        told_of=asked.told_of(schedule),
        job=None,
        by=by,
        within=within,
    )


@transaction.atomic
def store(
    claim: Claim,
    schedule: Schedule,
    *,
    read_at: datetime,
    told_of: Mapping[str, Any] | None = None,
    within: PlanChange | None = None,
) -> Plan:
    """Keep a schedule as the newest plan, in force at once if there is none or the shop says so.

    `told_of` is kept beside its figures. `within` is the change that it goes on from, while that is
    the last one.

    Raises Overtaken if another worker has the job.
    """
    claim.hold()
    job = claim.job
    return _keep(
        job.workshop,
        schedule,
        read_at=read_at,
        told_of=told_of or {},
        job=job,
        by=job.made_by,
        within=change_to(within.after) if within is not None and within.after else None,
    )


def _keep(
    workshop: Workshop,
    schedule: Schedule,
    *,
    read_at: datetime,
    told_of: Mapping[str, Any],
    job: Job | None,
    by: User | None,
    within: PlanChange | None = None,
) -> Plan:
    workshop = Workshop.objects.select_for_update().get(pk=workshop.pk)
    plans = Plan.objects.of(workshop)
    plan: Plan = plans.create(
        workshop=workshop,
        number=(plans.aggregate(last=Max("number"))["last"] or 0) + 1,
        job=job,
        made_at=timezone.now(),
        read_at=read_at,
        method=schedule.method[:40],
        late_min=schedule.objective.weighted_lateness_min,
        objective={**_figures(schedule), **told_of},
        lower_bound=schedule.lower_bound,
        is_proved=schedule.proved,
    )
    _store_bookings(plan, schedule.bookings)
    plans.filter(state=Plan.State.PROPOSED).exclude(pk=plan.pk).delete()
    if workshop.plans_itself or not plans.in_force().exists():
        return adopt(plan, by=by, within=within)
    return plan


@transaction.atomic
def adopt(plan: Plan, *, by: User | None, within: PlanChange | None = None) -> Plan:
    """Put a proposal, or a plan kept beside, in force in place of the one before.

    With a plan that was kept come the pins that it was made with, in place of those since.

    Raises NotNow if it is neither any more.
    """
    workshop = Workshop.objects.select_for_update().get(pk=plan.workshop_id)
    found: Plan | None = Plan.objects.filter(pk=plan.pk).first()
    if found is None or found.state not in OFFERED:
        raise NotNow(f"Plan {plan.number} is no longer a proposal. Look at the newest plan.")
    before = Standing.of(workshop)
    if found.state == Plan.State.KEPT:
        put_pins(workshop, found.objective.get("pins", before.pins), since=found.read_at)
    Plan.objects.in_force().filter(workshop=plan.workshop_id).update(state=Plan.State.SUPERSEDED)
    found.state = Plan.State.ADOPTED
    found.adopted_at = timezone.now()
    found.adopted_by = by
    found.save(update_fields=["state", "adopted_at", "adopted_by"])
    if within is not None:
        add_plan(within, found)
    elif before.plan is not None:
        said = put_in_force(found.number, before.plan.number)
        record(workshop, before, said=said, by=by, at=found.adopted_at)
    return found


@transaction.atomic
def keep(plan: Plan) -> Plan:
    """Keep a proposal beside the plan in force, so that the next planning does not displace it.

    Raises NotNow if it is no proposal, or if as many are kept already as a shop can have.
    """
    found = Plan.objects.select_for_update().filter(pk=plan.pk, state=Plan.State.PROPOSED).first()
    if found is None:
        raise NotNow(f"Plan {plan.number} is not a proposal; only proposals are kept beside.")
    if Plan.objects.filter(workshop=plan.workshop_id, state=Plan.State.KEPT).count() >= MOST_KEPT:
        raise NotNow(f"{MOST_KEPT} plans are kept beside already; throw one away first.")
    found.state = Plan.State.KEPT
    found.save(update_fields=["state"])
    kept: Plan = found
    return kept


@transaction.atomic
def discard(plan: Plan) -> None:
    """Throw a proposal, or a plan kept beside, away.

    Raises NotNow if it is neither.
    """
    found = Plan.objects.select_for_update().filter(pk=plan.pk, state__in=OFFERED)
    if not found.exists():
        raise NotNow(f"Plan {plan.number} is not a proposal; only proposals are thrown away.")
    found.delete()


def is_stale(workshop: Workshop) -> bool:
    """Whether something that matters to the plan changed after the newest plan was read."""
    plans = Plan.objects.of(workshop).filter(state__in=[Plan.State.ADOPTED, Plan.State.PROPOSED])
    read_at = plans.aggregate(last=Max("read_at"))["last"]
    if read_at is None:
        return has_work(workshop)
    return _has_changed(workshop, read_at)


def has_work(workshop: Workshop) -> bool:
    """Whether anything released is still to be done."""
    at_the_bench = Operation.objects.of(workshop).filter(commission__stage=Stage.IN_WORK)
    return bool(at_the_bench.open().exists())


def sweep() -> int:
    """Ask for a plan wherever it is disturbed, and once in a while where it is out of date.

    A plan that could not be made is not tried again before something changes.
    """
    now, asked = timezone.now(), 0
    for workshop in Workshop.objects.order_by("pk"):
        last = Job.objects.of(workshop).filter(kind=KIND).order_by("-made_at").first()
        if not has_work(workshop) or (last is not None and not last.is_finished):
            continue
        if (
            last is not None
            and last.state != Job.State.DONE
            and not _has_changed(workshop, last.made_at)
        ):
            continue
        if is_disturbed(workshop, now) or (_is_due(last, now) and is_stale(workshop)):
            ask_for_plan(workshop, by=None)
            asked += 1
    return asked


def _has_changed(workshop: Workshop, since: datetime) -> bool:
    return any(at > since for at in changes(workshop))


def _is_due(last: Job | None, now: datetime) -> bool:
    """Whether the last planning is so long ago that it is time for the next."""
    return last is None or now - last.made_at >= timedelta(seconds=settings.REPLAN_SECONDS)


def tidy() -> int:
    """Throw away all but the newest superseded plans of each workshop."""
    gone = 0
    for workshop in Workshop.objects.order_by("pk"):
        old = Plan.objects.of(workshop).filter(state=Plan.State.SUPERSEDED).order_by("-number")
        known = list(old.values_list("pk", flat=True)[KEPT_PLANS:])
        gone += len(known)
        Plan.objects.filter(pk__in=known).delete()
    return gone


def _store_bookings(plan: Plan, bookings: Iterable[core.Booking]) -> None:
    """One row for each operation; curing has no row, and being away is part of what was sent."""
    bookings = list(bookings)
    away = _trips(plan, {booking.task: booking for booking in bookings})
    made = [
        (booking, _booking(plan, booking, operation, away.get(operation)))
        for booking in bookings
        if (operation := row_of(booking.task)) is not None
    ]
    Booking.objects.bulk_create([row for _, row in made], batch_size=500)
    helping: Any = Booking.helpers.through
    helping.objects.bulk_create(
        helping(booking_id=row.pk, hand_id=row_of(helper))
        for booking, row in made
        for helper in booking.helpers
    )


def _trips(plan: Plan, bookings: Mapping[str, core.Booking]) -> dict[int, core.Booking]:
    """From when the pieces of outwork are sent until they are back, by its operation."""
    outwork = Operation.objects.of(plan.workshop).open().filter(station_kind=StationKind.OUTWORK)
    known = outwork.values_list("pk", flat=True)
    return {pk: bookings[held_key(pk)] for pk in known if held_key(pk) in bookings}


def _booking(
    plan: Plan, booking: core.Booking, operation: int, away: core.Booking | None
) -> Booking:
    return Booking(
        plan=plan,
        operation_id=operation,
        station_id=row_of(booking.station),
        hand_id=row_of(booking.hand),
        starts_at=booking.start,
        ends_at=booking.end,
        stretches=_written(booking.pieces),
        overtime=_written(booking.overtime),
        leaves_at=away.start if away else None,
        returns_at=away.end if away else None,
    )


def _written(spans: Iterable[tuple[datetime, datetime]]) -> list[list[str]]:
    return [[start.isoformat(), end.isoformat()] for start, end in spans]


def _figures(schedule: Schedule) -> dict[str, Any]:
    objective = schedule.objective
    return {
        "weighted_lateness_min": objective.weighted_lateness_min,
        "makespan_min": objective.makespan_min,
        "completion_min": objective.completion_min,
        "setup_min": objective.setup_min,
        "overtime_min": objective.overtime_min,
        "in_progress_min": objective.in_progress_min,
        "idle_min": objective.idle_min,
        "costs": {measure.value: cost for measure, cost in objective.weighed.items()},
        "move_cost": objective.move_cost,
        "moved": len(objective.moved),
        "late_orders": [row_of(key) for key in objective.late_orders],
        "evaluations": schedule.evaluations,
    }


def _gone_by(problem: Problem) -> dict[str, Any]:
    """The order of the measures where they come one after another, and what a bound bounds."""
    prices = problem.prices
    counted = sorted((m for m in Measure if prices.of(m) > 0), key=prices.of, reverse=True)
    in_order = [measure.value for measure in counted] if problem.weights is not None else []
    alone = not in_order and prices.late_orders == prices.setup == 0
    return {"order": in_order, "bounds_lateness": alone}


def _promised(promised: Mapping[str, Promise]) -> dict[str, Any]:
    return {
        str(row_of(key)): {
            "chance": promise.chance,
            "even_at": promise.p50.isoformat(),
            "promised_at": promise.p80.isoformat(),
            "safe_at": promise.p90.isoformat(),
        }
        for key, promise in promised.items()
    }


def _step(word: Progress) -> str:
    if word.best is None:
        return f"Trying “{word.method}”"
    late = len(word.best.late_orders)
    orders = "nothing late" if not late else f"{late} late" + (" order" if late == 1 else " orders")
    return f"Trying “{word.method}”; best so far: {orders}"


def _result(plan: Plan) -> dict[str, Any]:
    return {"plan": plan.pk, "number": plan.number, "state": plan.state}
