"""The shop as it stands, written down for the planner."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from itertools import chain
from typing import Any
from zoneinfo import ZoneInfo

from orders.core.errors import NotReady
from orders.core.stages import Stage
from orders.core.times import StationKind
from orders.models import Operation
from shop.core.plan.prices import Measure, Prices, one_after_another
from shop.core.plan.problem import Away, Order, Problem, Resource, Task
from shop.core.remaining import rest_min
from shop.models import Clocking, Hand, Pin, Station, Workshop

from .keys import hand_key, held_key, order_key, station_key, task_key
from .outwork import Outwork
from .waiting import followed_at, is_handed_on, is_held, is_sent, rounds_after
from .weeks import Weeks
from .work_tasks import held_task, work_task


def problem_for(workshop: Workshop, now: datetime) -> Problem:
    """Everything released and not done, with the stations and hands that can do it.

    Raises NotReady if a calendar has no working hour, nobody has a skill that is needed, or there
    is no station of a kind that is needed.
    """
    stations, hands = means_of(workshop)
    weeks = Weeks.of(workshop, now)
    work = Work.of(workshop, now)
    require_means(work.wanted(), stations, hands)
    resources = [
        *(_station(station, weeks) for station in stations),
        *(_hand(hand, weeks) for hand in hands),
    ]
    needed = {key for r in resources for key in (r.calendar, r.overtime) if key}
    weeks.require_hours(now)
    outwork = Outwork.by(workshop, weeks, {hand.calendar_id for hand in hands})
    tasks = tuple(work.tasks(stations, hands, outwork.away))
    if any(task.away for task in tasks):
        outwork.require_days(now)
    return Problem(
        now=now,
        calendars={key: weeks.calendars[key] for key in sorted(needed)} | outwork.calendars,
        resources=tuple(resources),
        tasks=tasks,
        orders=tuple(work.orders(ZoneInfo(workshop.time_zone))),
        prices=prices_of(workshop),
        weights=weights_of(workshop) if workshop.plans_by == Workshop.PlansBy.ORDER else None,
        allows_minding=workshop.allows_minding,
    )


def prices_of(workshop: Workshop) -> Prices:
    """What the planner goes by: the owner's weights, or prices that put measures in their order."""
    if workshop.plans_by == Workshop.PlansBy.ORDER:
        return one_after_another([Measure(name) for name in workshop.measure_order])
    return weights_of(workshop)


def weights_of(workshop: Workshop) -> Prices:
    """What each measure counts for the owner; the settings are in hours late, an order's in all."""
    return Prices(
        late_orders=workshop.late_order_price * 60,
        overtime=workshop.overtime_price,
        setup=workshop.setup_price,
        in_progress=workshop.in_progress_price / 24,
        idle=workshop.idle_price / 24,
    )


def means_of(workshop: Workshop) -> tuple[list[Station], list[Hand]]:
    """The stations and the hands that are in use."""
    hands = Hand.objects.of(workshop).filter(is_in_use=True).prefetch_related("skills")
    return list(Station.objects.of(workshop).filter(is_in_use=True)), list(hands)


@dataclass(frozen=True, slots=True)
class Underway:
    """What the clockings say of an operation: minutes used, those not yet counted in pieces, who."""

    used_min: float = 0.0
    uncounted_min: float = 0.0
    hands: tuple[int, ...] = ()
    stations: tuple[int | None, ...] = ()

    @classmethod
    def of(cls, clockings: Iterable[Clocking], now: datetime) -> Underway:
        """Sums them up."""
        used = uncounted = 0.0
        running = []
        for clocking in clockings:
            minutes = max(
                0.0, ((clocking.ended_at or now) - clocking.started_at).total_seconds() / 60
            )
            used += minutes
            uncounted += minutes if not clocking.pieces else 0.0
            running += [clocking] if clocking.ended_at is None else []
        return cls(
            used,
            uncounted,
            tuple(clocking.hand_id for clocking in running),
            tuple(clocking.station_id for clocking in running),
        )

    def rest_min(self, operation: Operation) -> float:
        """Standard minutes still to come on the operation."""
        return rest_min(
            setup_min=operation.setup_min,
            each_min=operation.each_min,
            pieces=operation.pieces,
            pieces_done=operation.pieces_done,
            used_min=self.used_min,
            uncounted_min=self.uncounted_min,
        )


class Work:
    """The open operations of a workshop, what comes before them and what was clocked on them."""

    def __init__(
        self,
        operations: Sequence[Operation],
        before: Mapping[int, Sequence[Operation]],
        underway: Mapping[int, Underway],
        pins: Mapping[int, Pin],
        now: datetime,
        begun: Collection[int] = (),
    ) -> None:
        self.pins, self.now, self.begun = pins, now, begun
        self.operations = operations
        self.before = before
        self.rounds = rounds_after(chain.from_iterable(before.values()))
        self.underway = underway
        self.open = {operation.pk for operation in operations}

    @classmethod
    def of(cls, workshop: Workshop, now: datetime) -> Work:
        """As it stands."""
        operations = list(
            Operation.objects.of(workshop)
            .open()
            .filter(commission__stage=Stage.IN_WORK)
            .select_related("commission__workshop")
            .order_by("commission__number", "number")
        )
        clocked: dict[int, list[Clocking]] = defaultdict(list)
        known = [operation.pk for operation in operations]
        for clocking in Clocking.objects.filter(operation__in=known).order_by("started_at"):
            clocked[clocking.operation_id].append(clocking)
        underway = {pk: Underway.of(rows, now) for pk, rows in clocked.items()}
        pins = {
            pin.operation_id: pin
            for pin in Pin.objects.filter(operation__in=known).select_related("station", "hand")
        }
        orders = {operation.commission_id for operation in operations}
        worked = Clocking.objects.filter(operation__commission__in=orders)
        begun = set(worked.values_list("operation__commission", flat=True).distinct())
        return cls(operations, before_of(known), underway, pins, now, begun)

    def wanted(self) -> Iterable[tuple[str, str]]:
        """The kind of station and the skill that each operation nobody is at asks for."""
        for operation in self.operations:
            if not self.underway.get(operation.pk, Underway()).hands:
                yield operation.station_kind, operation.skill

    def orders(self, zone: ZoneInfo) -> Iterable[Order]:
        """The commissions; one is in time until the end of the day it is due."""
        for commission in {op.commission_id: op.commission for op in self.operations}.values():
            yield Order(
                key=order_key(commission.pk),
                label=str(commission),
                due=due_at(commission.due_on, zone) if commission.due_on else None,
                weight=float(commission.weight),
                is_begun=commission.pk in self.begun,
            )

    def tasks(
        self, stations: Sequence[Station], hands: Sequence[Hand], away: Away
    ) -> Iterable[Task]:
        """One task for each operation, and one while glue cures or outwork is away before the next."""
        places = Places(stations)
        at_work = {hand.pk for hand in hands}
        held = {
            earlier.pk
            for earlier in chain.from_iterable(self.before.values())
            if earlier.pk in self.open and is_held(earlier)
        }
        for operation in self.operations:
            on_it = self.underway.get(operation.pk, Underway())
            crew = tuple(hand for hand in on_it.hands if hand in at_work)
            if crew:
                yield self._running(operation, on_it, crew, places)
            else:
                yield self._pinned(operation, self._waiting(operation, on_it, held))
            if operation.pk in held:
                yield held_task(
                    held_key(operation.pk),
                    label=_label(operation),
                    cure_min=operation.cure_min,
                    away=away if is_sent(operation) else None,
                    after=task_key(operation.pk),
                )

    def _waiting(self, operation: Operation, on_it: Underway, held: Collection[int]) -> Task:
        before = self.before.get(operation.pk, ())
        is_begun = on_it.used_min > 0
        ready = [at for one in before if (at := followed_at(one, self.rounds)) is not None]
        commission = operation.commission
        if commission.timber_on is not None and not is_begun:
            zone = ZoneInfo(commission.workshop.time_zone)
            ready.append(day_of(commission.timber_on, zone))
        return work_task(
            task_key(operation.pk),
            label=_label(operation),
            whole_min=on_it.rest_min(operation),
            setup_min=0.0 if is_begun else operation.setup_min,
            spread=operation.spread,
            station_kind=operation.station_kind,
            skill=operation.skill,
            after=(
                held_key(earlier.pk) if earlier.pk in held else task_key(earlier.pk)
                for earlier in before
                if earlier.pk in self.open
            ),
            batch_share=self._batch_share(operation),
            is_light=_is_light(operation),
            release=max(ready) if ready else None,
            order=order_key(operation.commission_id),
        )

    def _batch_share(self, operation: Operation) -> float:
        """The share that one batch is of what is left, where pieces are handed on in batches."""
        batch = operation.commission.workshop.batch_pieces
        before = [one for one in self.before.get(operation.pk, ()) if one.pk in self.open]
        if batch <= 0 or len(before) != 1 or not is_handed_on(before[0], operation):
            return 1.0
        left = min(one.pieces - one.pieces_done for one in (operation, before[0]))
        return min(1.0, batch / left) if left > 0 else 1.0

    def _pinned(self, operation: Operation, task: Task) -> Task:
        """With what the foreman fixed; a time that has come and what is out of use hold no more."""
        pin = self.pins.get(operation.pk)
        if pin is None:
            return task
        zone, station, hand = (
            ZoneInfo(operation.commission.workshop.time_zone),
            pin.station,
            pin.hand,
        )
        at = pin.starts_at
        return replace(
            task,
            pinned_start=at.astimezone(zone) if at is not None and at >= self.now else None,
            pinned_station=station_key(station.pk) if station and station.is_in_use else None,
            pinned_hand=hand_key(hand.pk) if hand and hand.is_in_use else None,
        )

    def _running(
        self, operation: Operation, on_it: Underway, crew: tuple[int, ...], places: Places
    ) -> Task:
        station = places.take(on_it.stations[0], operation.station_kind)
        return Task(
            key=task_key(operation.pk),
            label=_label(operation),
            minutes=max(1.0, on_it.rest_min(operation) / len(crew)),
            spread=operation.spread,
            stations=(station_key(station),) if station is not None else (),
            hands=tuple(hand_key(hand) for hand in crew),
            hand_count=len(crew),
            is_light=_is_light(operation),
            order=order_key(operation.commission_id),
            under_way=True,
        )


class Places:
    """The places at stations that work under way takes up; what finds none runs without one.

    People do work that no plan foresaw, two at one machine or at a bench that is out of use; the
    plan must still be made.
    """

    def __init__(self, stations: Sequence[Station]) -> None:
        self.stations = stations
        self.left = {station.pk: station.places for station in stations}

    def take(self, wanted: int | None, kind: str) -> int | None:
        """The station wanted, or where none was named one of the kind, if there is a place."""
        able = [wanted] if wanted is not None else [s.pk for s in self.stations if s.kind == kind]
        for pk in able:
            if self.left.get(pk, 0) > 0:
                self.left[pk] -= 1
                return pk
        return None


def due_at(due_on: date, zone: ZoneInfo) -> datetime:
    """The end of the day, by the clock of the workshop."""
    return day_of(due_on + timedelta(days=1), zone)


def day_of(on: date, zone: ZoneInfo) -> datetime:
    """The begin of a day, by the clock of the workshop."""
    return datetime.combine(on, time(), zone).astimezone(UTC)


def before_of(known: Sequence[int]) -> dict[int, list[Operation]]:
    """What comes before each operation, finished or not."""
    through: Any = Operation.after.through
    links = through.objects.filter(from_operation__in=known)
    pairs = list(links.values_list("from_operation_id", "to_operation_id"))
    earlier = Operation.objects.select_related("commission__workshop").in_bulk(
        {before for _, before in pairs}
    )
    found: dict[int, list[Operation]] = defaultdict(list)
    for operation, before in sorted(pairs):
        if earlier[before].state != Operation.State.DROPPED:
            found[operation].append(earlier[before])
    return found


def require_means(
    wanted: Iterable[tuple[str, str]], stations: Sequence[Station], hands: Sequence[Hand]
) -> None:
    """Raises NotReady unless there is a station and a hand for each (kind of station, skill)."""
    kinds = {station.kind for station in stations} | {StationKind.OUTWORK.value}
    skills = {skill.skill for hand in hands for skill in hand.skills.all()}
    pairs = list(wanted)
    no_station = Counter(kind for kind, _ in pairs if kind not in kinds)
    no_hand = Counter(skill for _, skill in pairs if skill not in skills)
    sentences = [
        f"There is no station of the kind “{kind}” in use, and {_operations(count)} it:"
        " add one, or take one into use."
        for kind, count in no_station.items()
    ] + [
        f"Nobody who works here has the skill “{skill}”, and {_operations(count)} it:"
        " give it to a hand."
        for skill, count in no_hand.items()
    ]
    if sentences:
        raise NotReady(" ".join(sentences))


def _operations(count: int) -> str:
    return "one operation needs" if count == 1 else f"{count} operations need"


def _station(station: Station, weeks: Weeks) -> Resource:
    return Resource(
        key=station_key(station.pk),
        kind="station",
        label=station.name,
        capacity=station.places,
        calendar=weeks.key_of(station),
        overtime=weeks.overtime_of(station),
        station_kinds=(station.kind,),
        area=station.area,
        may_be_left=station.may_be_left,
    )


def _hand(hand: Hand, weeks: Weeks) -> Resource:
    return Resource(
        key=hand_key(hand.pk),
        kind="hand",
        label=hand.name,
        calendar=weeks.key_of(hand),
        overtime=weeks.overtime_of(hand),
        skills={skill.skill: skill.level for skill in hand.skills.all()},
    )


def _is_light(operation: Operation) -> bool:
    workshop = operation.commission.workshop
    return workshop.counts_as_light(operation.code, operation.station_kind)


def _label(operation: Operation) -> str:
    return f"{operation.mark} {operation.name}"
