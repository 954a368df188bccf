"""Checks a plan by the rules alone, on the clock of the wall.

It shares nothing with the planner but the values that go in and out: it asks the wall clock every
minute who is at work, and at each change within one, so that a fault in the planner's arithmetic
cannot hide here as well.
"""

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from shop.core.calendar import Calendar
from shop.core.plan.problem import Problem, Resource, Task
from shop.core.plan.schedule import Booking, Schedule

MINUTE = timedelta(minutes=1)
ALMOST = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Violation:
    """A rule that a plan breaks: its kind, the task, and a sentence."""

    kind: str
    task: str
    message: str


def check(problem: Problem, schedule: Schedule) -> tuple[Violation, ...]:
    """Every rule that the plan breaks; empty for a plan that holds."""
    checker = _Checker(problem, schedule)
    broken = list(checker.once())
    if not broken:
        for rule in (
            checker.staffing,
            checker.pins,
            checker.times,
            checker.waiting,
            checker.durations,
            checker.trips,
            checker.hours,
            checker.capacities,
            checker.one_thing_at_a_time,
            checker.measures,
        ):
            broken += rule()
    return tuple(broken)


class _Checker:
    def __init__(self, problem: Problem, schedule: Schedule) -> None:
        self.problem, self.schedule = problem, schedule
        self.tasks = {task.key: task for task in problem.tasks}
        self.resources = {resource.key: resource for resource in problem.resources}
        self.bookings = {booking.task: booking for booking in schedule.bookings}
        self.wall = _WallClock(problem)
        self.tick = timedelta(minutes=problem.tick_min)

    def pairs(self) -> Iterator[tuple[Task, Booking]]:
        """Each task with its booking."""
        return ((task, self.bookings[key]) for key, task in self.tasks.items())

    def once(self) -> Iterator[Violation]:
        """Every task is planned once, nothing else is, and on things that exist."""
        count = Counter(booking.task for booking in self.schedule.bookings)
        for key in self.tasks:
            if count[key] != 1:
                yield _violation("once", key, f"is planned {count[key]} times")
        for booking in self.schedule.bookings:
            if booking.task not in self.tasks:
                yield _violation("once", booking.task, "is planned but was not asked for")
            stations = [] if booking.station is None else [booking.station]
            hands = [hand for hand in (booking.hand, *booking.helpers) if hand is not None]
            for keys, kind in [(stations, "station"), (hands, "hand")]:
                for key in keys:
                    if key not in self.resources or self.resources[key].kind != kind:
                        yield _violation("staffing", booking.task, f"is on no {kind}: {key}")

    def staffing(self) -> Iterator[Violation]:
        """The station and the hands are among those that can do the task."""
        for task, booking in self.pairs():
            if booking.station is None:
                if task.stations or task.station_kind:
                    yield _violation("station", task.key, "has no station")
            elif task.stations:
                if booking.station not in task.stations:
                    yield _violation("station", task.key, f"cannot be done on {booking.station}")
            elif task.station_kind not in self.resources[booking.station].station_kinds or (
                not task.station_kind
            ):
                yield _violation("station", task.key, f"cannot be done on {booking.station}")
            wanted = task.hand_count if task.hands or task.skills else 0
            hands = [] if booking.hand is None else [booking.hand, *booking.helpers]
            if len(hands) != wanted or len(set(hands)) != wanted:
                yield _violation("hands", task.key, f"has {len(hands)} hands, not {wanted}")
            for hand in hands:
                if task.hands and hand not in task.hands:
                    yield _violation("hands", task.key, f"cannot be done by {hand}")
                for skill, level in task.skills.items():
                    if self.resources[hand].skills.get(skill, 0) < level:
                        yield _violation("skill", task.key, f"asks more {skill} than {hand} has")

    def pins(self) -> Iterator[Violation]:
        """What the foreman fixed stays fixed."""
        for task, booking in self.pairs():
            hands = (booking.hand, *booking.helpers)
            if task.pinned_start is not None and booking.start != task.pinned_start:
                yield _violation("pin", task.key, "does not start when it is pinned to")
            if task.pinned_station is not None and booking.station != task.pinned_station:
                yield _violation("pin", task.key, "is not on the station it is pinned to")
            if task.pinned_hand is not None and task.pinned_hand not in hands:
                yield _violation("pin", task.key, "is not with the hand it is pinned to")

    def times(self) -> Iterator[Violation]:
        """Nothing starts before now, before its release, or ends after the horizon."""
        horizon = self.problem.horizon
        for task, booking in self.pairs():
            if booking.start >= booking.end:
                yield _violation("time", task.key, "ends before it starts")
            if booking.start < self.problem.now:
                yield _violation("time", task.key, "starts in the past")
            if not task.under_way and task.release is not None and booking.start < task.release:
                yield _violation("release", task.key, "starts before it is released")
            if horizon is not None and booking.end > horizon:
                yield _violation("horizon", task.key, "ends after the plan does")

    def waiting(self) -> Iterator[Violation]:
        """What comes before is done, and its lag is over; work under way has no such wait."""
        for task, booking in self.pairs():
            for key in () if task.under_way else task.after:
                earlier, lag = self.bookings[key], timedelta(minutes=task.lag_min)
                if task.batch_share < 1:
                    yield from self._batches(task, booking, self.tasks[key], earlier)
                elif booking.start < earlier.end + lag:
                    yield _violation("precedence", task.key, f"starts too soon after {key}")

    def _batches(
        self, task: Task, booking: Booking, earlier: Task, before: Booking
    ) -> Iterator[Violation]:
        """The first batch is there when it starts, and the last one is done after that came."""
        lag, share = timedelta(minutes=task.lag_min), task.batch_share
        for one, place, since, what in [
            (earlier, before, booking.start - lag, "starts before a batch is there of"),
            (task, booking, before.end + lag, "is done too soon after"),
        ]:
            whole = timedelta(minutes=self._minutes(one, place) * (1 - one.done_share))
            behind = sum((b - max(a, since) for a, b in place.pieces if b > since), timedelta())
            left_late = one is earlier and behind > whole * (1 - share) + timedelta(microseconds=9)
            done_early = one is task and behind < whole * share - timedelta(microseconds=9)
            if left_late or done_early:
                yield _violation("precedence", task.key, f"{what} {earlier.key}")

    def durations(self) -> Iterator[Violation]:
        """The pieces are in order, span the booking, and add up to work and set-up."""
        before = self._before_on_station()
        for task, booking in self.pairs():
            pieces = booking.pieces
            if not pieces or pieces[0][0] != booking.start or pieces[-1][1] != booking.end:
                yield _violation("pieces", task.key, "has pieces that do not span it")
                continue
            if any(a >= b for a, b in pieces) or any(
                last[1] >= following[0] for last, following in pairwise(pieces)
            ):
                yield _violation("pieces", task.key, "has pieces that are empty or touch")
            if task.away is not None:
                if len(pieces) > 1:
                    yield _violation("pieces", task.key, "is away in several pieces")
                continue
            if not task.breakable and len(pieces) > 1:
                yield _violation("pause", task.key, "pauses, though it may not")
            want = timedelta(minutes=self._minutes(task, booking) * (1 - task.done_share))
            want += timedelta(minutes=self._setup_min(task, booking, before))
            done = sum((b - a for a, b in pieces), timedelta())
            if not want <= done < max(want, timedelta(microseconds=1)) + self.tick:
                yield _violation("duration", task.key, f"lasts {done} instead of {want}")

    def trips(self) -> Iterator[Violation]:
        """What is away leaves and comes back when it may, and at the first chance to come back."""
        for task, booking in self.pairs():
            away, start, end = task.away, booking.start, booking.end
            if away is None:
                continue
            zone = self.wall.zones[away.out]
            looks = _utc(start), _utc(start) - timedelta(microseconds=1)
            if not any(self.wall.is_open(away.out, at) for at in looks):
                yield _violation("away", task.key, "leaves when nothing is sent")
            if not self.wall.is_open(away.back, _utc(end)):
                yield _violation("away", task.key, "is back when nothing comes back")
            leaves_on, back_on = (at.astimezone(zone).date() for at in (start, end))
            if (back_on - leaves_on).days < away.days:
                yield _violation("away", task.key, "is back too soon")
            at = _utc(start) + self.tick
            while at < _utc(end):
                on = at.astimezone(zone).date()
                if (on - leaves_on).days >= away.days and self.wall.is_open(away.back, at):
                    yield _violation("away", task.key, "could have been back sooner")
                    break
                at += self.tick

    def hours(self) -> Iterator[Violation]:
        """Work goes on exactly while the station and all hands are there."""
        for task, booking in self.pairs():
            crew = self._crew(booking)
            for start, end in booking.pieces:
                if not all(self.wall.is_open_throughout(_hours(r), start, end) for r in crew):
                    yield _violation("calendar", task.key, "works while somebody is away")
            for last, following in pairwise(booking.pieces):
                if self._could_work(crew, last[1], following[0]):
                    yield _violation("pause", task.key, "pauses without a reason")

    def capacities(self) -> Iterator[Violation]:
        """No station or gear has more on it than it takes; work under way goes first."""
        held: dict[str, list[tuple[datetime, datetime, int, str]]] = defaultdict(list)
        for task, booking in self.pairs():
            for resource in self._crew(booking):
                if resource.kind == "hand":
                    continue
                held[resource.key].append((booking.start, booking.end, 1, task.key))
            until = booking.end + timedelta(minutes=task.gear_hold_min)
            for key, count in task.gear.items():
                held[key].append((booking.start, until, count, task.key))
        for key, spans in held.items():
            changes = [(end, 0, -count, name) for _, end, count, name in spans]
            changes += [(start, 1, count, name) for start, _, count, name in spans]
            level = 0
            for _, _, change, name in sorted(changes):
                level += change
                if change > 0 and level > self.resources[key].capacity:
                    yield _violation("overlap", name, f"asks more of {key} than there is")
            running = [a for a, _, _, name in spans if self.tasks[name].under_way]
            resource = self.resources[key]
            if running and resource.kind != "gear" and resource.capacity == 1:
                for start, _, _, name in spans:
                    if start < max(running) and not self.tasks[name].under_way:
                        yield _violation("under way", name, f"goes before work begun on {key}")

    def one_thing_at_a_time(self) -> Iterator[Violation]:
        """A hand does one thing, or minds a machine and does light work near it."""
        rows: dict[str, list[Booking]] = defaultdict(list)
        for booking in self.bookings.values():
            for hand in (booking.hand, *booking.helpers):
                if hand is not None:
                    rows[hand].append(booking)
        for hand, row in rows.items():
            row.sort(key=lambda booking: booking.start)
            going: list[Booking] = []
            for booking in row:
                going = [other for other in going if other.end > booking.start]
                for other in going:
                    if not self._is_minding(other, booking):
                        yield _violation("overlap", booking.task, f"asks more of {hand} than one")
                going.append(booking)
            for begun in (b for b in row if self.tasks[b.task].under_way):
                for booking in row:
                    is_new = not self.tasks[booking.task].under_way
                    is_before = booking.start < begun.start
                    if is_new and is_before and not self._is_minding(begun, booking):
                        name = booking.task
                        yield _violation("under way", name, f"goes before work begun by {hand}")

    def _is_minding(self, one: Booking, other: Booking) -> bool:
        """Whether one is a run that may be left and the other light work beside it."""
        if not self.problem.allows_minding or one.station is None or other.station is None:
            return False
        if one.helpers or other.helpers:
            return False
        places = [self.resources[one.station], self.resources[other.station]]
        if not places[0].area or places[0].area != places[1].area:
            return False
        left = [place.may_be_left for place in places]
        return (left[0] and not left[1] and self.tasks[other.task].is_light) or (
            left[1] and not left[0] and self.tasks[one.task].is_light
        )

    def measures(self) -> Iterator[Violation]:
        """The plan is worth what it says."""
        said, now = self.schedule.objective, self.problem.now
        late, names = 0.0, []
        for order in self.problem.orders:
            ends = [b.end for key, b in self.bookings.items() if self.tasks[key].order == order.key]
            if order.due is not None and ends and max(ends) > order.due:
                names.append(order.key)
                late += order.weight * (_utc(max(ends)) - _utc(order.due)).total_seconds() / 60
        makespan = max(
            ((_utc(b.end) - _utc(now)).total_seconds() / 60 for b in self.bookings.values()),
            default=0.0,
        )
        if abs(said.weighted_lateness_min - late) > ALMOST * max(1.0, late):
            yield _violation("measure", "", f"is late by {late}, not {said.weighted_lateness_min}")
        if abs(said.makespan_min - makespan) > ALMOST * max(1.0, makespan):
            yield _violation("measure", "", f"takes {makespan} minutes, not {said.makespan_min}")
        moved = sorted(key for key in self.bookings if self._is_moved(key))
        if sorted(said.moved) != moved:
            yield _violation("measure", "", f"moves {moved}, not {sorted(said.moved)}")
        if abs(said.move_cost - len(moved) * self.problem.move_price) > ALMOST:
            yield _violation("measure", "", f"counts {said.move_cost} for its moves")
        if sorted(said.late_orders) != sorted(names):
            yield _violation("measure", "", f"has the late orders {names}")
        yield from self._further_measures(late, names)

    def _further_measures(self, late: float, names: Sequence[str]) -> Iterator[Violation]:
        """Set-ups, overtime, work in progress and idle pieces, and what all of it costs."""
        said, prices = self.schedule.objective, self.problem.prices
        weights = sum(o.weight for o in self.problem.orders if o.key in names)
        overtime, slack = self._overtime_min(), self.problem.tick_min * len(self.tasks)
        for name, claimed, true, off in [
            ("works overtime", said.overtime_min, overtime, 0.0),
            ("sets up", said.setup_min, self._setups_min(), float(slack)),
            ("is in progress", said.in_progress_min, self._in_progress_min(), 0.0),
            ("leaves pieces idle", said.idle_min, self._idle_min(), 0.0),
            ("costs", sum(said.costs.values()),
             prices.lateness * late + prices.late_orders * weights
             + prices.overtime * overtime + prices.setup * said.setup_min
             + prices.in_progress * said.in_progress_min + prices.idle * said.idle_min, 0.0),
        ]:  # fmt: skip
            if abs(claimed - true) > off + ALMOST * max(1.0, abs(true)):
                yield _violation("measure", "", f"{name} {true}, not {claimed}")
        for key, booking in self.bookings.items():
            beyond = sum((b - a for a, b in booking.overtime), timedelta())
            within = all(
                any(p <= a and b <= q for p, q in booking.pieces) for a, b in booking.overtime
            )
            if not within or beyond != self._beyond(booking, any_one=True):
                yield _violation("overtime", key, "does not say when it works overtime")

    def _overtime_min(self) -> float:
        beyond = (self._beyond(booking) for booking in self.bookings.values())
        return sum(time.total_seconds() / 60 for time in beyond)

    def _beyond(self, booking: Booking, *, any_one: bool = False) -> timedelta:
        """Time beyond regular hours, of each who works or of any one; sampled between changes."""
        hands = [resource for resource in self._crew(booking) if resource.kind == "hand"]
        paid = [resource for resource in hands or self._crew(booking) if resource.overtime]
        total = timedelta()
        for start, end in booking.pieces if paid else ():
            looks = [*self.wall.looks([r.calendar for r in paid], start, end), _utc(end)]
            for at, until in pairwise(looks):
                away = sum(not self.wall.is_open(r.calendar, at) for r in paid)
                total += (until - at) * min(away, 1 if any_one else away)
        return total

    def _setups_min(self) -> float:
        before = self._before_on_station()
        return sum(self._setup_min(task, booking, before) for task, booking in self.pairs())

    def _in_progress_min(self) -> float:
        total = 0.0
        for order in self.problem.orders:
            own = [b for key, b in self.bookings.items() if self.tasks[key].order == order.key]
            if own:
                begin = _utc(min(b.start for b in own))
                if order.is_begun:
                    begin = _utc(self.problem.now)
                total += (max(_utc(b.end) for b in own) - begin).total_seconds() / 60
        return total

    def _idle_min(self) -> float:
        total = 0.0
        for task, booking in self.pairs():
            if task.after and not task.under_way and task.batch_share >= 1:
                ready = max(self.bookings[key].end for key in task.after)
                ready += timedelta(minutes=task.lag_min)
                ready = max(ready, task.release or self.problem.now)
                total += max(0.0, (_utc(booking.start) - _utc(ready)).total_seconds() / 60)
        return total

    def _is_moved(self, key: str) -> bool:
        told, booking = self.tasks[key].told, self.bookings[key]
        if told is None:
            return False
        off = abs((_utc(booking.start) - _utc(told.start)).total_seconds())
        hands = {hand for hand in (booking.hand, *booking.helpers) if hand is not None}
        return off > 15 * 60 or booking.station != told.station or hands != set(told.hands)

    def _crew(self, booking: Booking) -> list[Resource]:
        keys = [booking.station, booking.hand, *booking.helpers]
        return [self.resources[key] for key in keys if key is not None]

    def _could_work(self, crew: Sequence[Resource], start: datetime, end: datetime) -> bool:
        at = start
        while at + self.tick <= end:
            if all(self.wall.is_open_throughout((r.calendar,), at, at + self.tick) for r in crew):
                return True
            at += self.tick
        return False

    def _before_on_station(self) -> dict[str, str]:
        rows: dict[str, list[Booking]] = defaultdict(list)
        for booking in self.schedule.bookings:
            if booking.station is not None:
                rows[booking.station].append(booking)
        before: dict[str, str] = {}
        for row in rows.values():
            row.sort(key=lambda booking: booking.start)
            for first, second in pairwise(row):
                before[second.task] = first.task
        return before

    @staticmethod
    def _minutes(task: Task, booking: Booking) -> float:
        if booking.station is None:
            return task.minutes
        return task.minutes_on.get(booking.station, task.minutes)

    def _setup_min(self, task: Task, booking: Booking, before: dict[str, str]) -> float:
        if task.under_way:
            return 0.0
        if booking.station is None or not task.family:
            return task.setup_min
        station = self.resources[booking.station]
        if station.capacity > 1:
            return task.setup_min
        last = self.tasks[before[task.key]].family if task.key in before else station.family
        if last in task.setup_after:
            return task.setup_after[last]
        return 0.0 if last == task.family else task.setup_min


class _WallClock:
    """Asks whether a calendar is open, minute by minute, by the hands of the local clock."""

    def __init__(self, problem: Problem) -> None:
        self.calendars = problem.calendars
        self.zones = {key: ZoneInfo(c.timezone) for key, c in problem.calendars.items()}
        self.known: dict[tuple[str, datetime], bool] = {}
        self.within_minutes = {key: _within_minutes(c) for key, c in problem.calendars.items()}

    def looks(self, keys: Sequence[str], start: datetime, end: datetime) -> list[datetime]:
        """When to look between two instants: at first, every whole minute, and at what changes."""
        at, end = _utc(start), _utc(end)
        found = [edge for key in keys for edge in self.within_minutes[key] if at < edge < end]
        while at < end:
            found.append(at)
            at = at.replace(second=0, microsecond=0) + MINUTE
        return sorted(found)

    def is_open_throughout(self, keys: Sequence[str], start: datetime, end: datetime) -> bool:
        """Whether one of the calendars is open whenever one looks."""
        return all(
            any(self.is_open(key, at) for key in keys) for at in self.looks(keys, start, end)
        )

    def is_open(self, key: str, at: datetime) -> bool:
        """Whether the calendar is open at an instant."""
        if (key, at) not in self.known:
            self.known[key, at] = self._ask(self.calendars[key], self.zones[key], at)
        return self.known[key, at]

    @staticmethod
    def _ask(calendar: Calendar, zone: ZoneInfo, at: datetime) -> bool:
        if any(extra.start <= at < extra.end for extra in calendar.extra):
            return True
        if any(closure.start <= at < closure.end for closure in calendar.closures):
            return False
        today, moment = at.astimezone(zone).date(), at.timestamp()
        for day in (today, today - timedelta(days=1)):
            for shift in calendar.weekly:
                if shift.weekday == day.weekday():
                    last = day + timedelta(days=int(shift.end <= shift.start))
                    begin = datetime.combine(day, shift.start, zone).timestamp()
                    finish = datetime.combine(last, shift.end, zone).timestamp()
                    if begin <= moment < finish:
                        return True
        return False


def _within_minutes(calendar: Calendar) -> list[datetime]:
    """When a calendar opens or closes otherwise than on a whole minute."""
    spans = [(closure.start, closure.end) for closure in calendar.closures]
    spans += [(extra.start, extra.end) for extra in calendar.extra]
    return [_utc(edge) for span in spans for edge in span if edge.second or edge.microsecond]


def _hours(resource: Resource) -> tuple[str, ...]:
    """The calendars that a resource may work by: its own, and the hours it may be offered."""
    return (resource.calendar, resource.overtime) if resource.overtime else (resource.calendar,)


def _utc(at: datetime) -> datetime:
    return at.astimezone(UTC)


def _violation(kind: str, task: str, what: str) -> Violation:
    return Violation(kind=kind, task=task, message=f"{task or 'The plan'} {what}.")
