"""Plans spoilt in one place, each in a way that breaks a rule for certain."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime, time, timedelta
from random import Random
from zoneinfo import ZoneInfo

from shop.core.plan.problem import Problem, Task
from shop.core.plan.schedule import Booking, Schedule

Spoil = Callable[[Problem, Schedule, Random], Schedule | None]
MINUTE = timedelta(minutes=1)


def with_booking(schedule: Schedule, changed: Booking) -> Schedule:
    others = (changed if b.task == changed.task else b for b in schedule.bookings)
    return replace(schedule, bookings=tuple(others))


def shifted(booking: Booking, by: timedelta) -> Booking:
    return replace(
        booking,
        start=booking.start + by,
        end=booking.end + by,
        pieces=tuple((a + by, b + by) for a, b in booking.pieces),
        overtime=tuple((a + by, b + by) for a, b in booking.overtime),
    )


def left_out(_: Problem, schedule: Schedule, random: Random) -> Schedule | None:
    gone = random.choice(schedule.bookings)
    return replace(schedule, bookings=tuple(b for b in schedule.bookings if b is not gone))


def planned_twice(_: Problem, schedule: Schedule, random: Random) -> Schedule | None:
    return replace(schedule, bookings=(*schedule.bookings, random.choice(schedule.bookings)))


def cut_short(problem: Problem, schedule: Schedule, random: Random) -> Schedule | None:
    booking = random.choice(schedule.bookings)
    start, end = booking.pieces[-1]
    end -= problem.tick_min * MINUTE
    if end <= start:
        return None
    return with_booking(
        schedule, replace(booking, end=end, pieces=(*booking.pieces[:-1], (start, end)))
    )


def drawn_out(problem: Problem, schedule: Schedule, random: Random) -> Schedule | None:
    booking = random.choice(schedule.bookings)
    start, end = booking.pieces[-1]
    end += problem.tick_min * MINUTE
    return with_booking(
        schedule, replace(booking, end=end, pieces=(*booking.pieces[:-1], (start, end)))
    )


def too_soon(problem: Problem, schedule: Schedule, random: Random) -> Schedule | None:
    waiting = [
        task
        for task in problem.tasks
        if task.after and not task.under_way and task.batch_share == 1
    ]
    if not waiting:
        return None
    task, places = random.choice(waiting), {b.task: b for b in schedule.bookings}
    ready = max(places[key].end for key in task.after) + task.lag_min * MINUTE
    return with_booking(
        schedule, shifted(places[task.key], ready - MINUTE - places[task.key].start)
    )


def in_the_past(problem: Problem, schedule: Schedule, random: Random) -> Schedule | None:
    booking = random.choice(schedule.bookings)
    return with_booking(schedule, shifted(booking, problem.now - MINUTE - booking.start))


def onto_another(problem: Problem, schedule: Schedule, random: Random) -> Schedule | None:
    """Two tasks at once on a station that takes one, or with one hand."""
    single = {r.key for r in problem.resources if r.kind != "gear" and r.capacity == 1}
    on: dict[str, list[Booking]] = {}
    for booking in schedule.bookings:
        for key in {booking.station, *booking.hands} & single:
            on.setdefault(key, []).append(booking)
    crowded = [row for _, row in sorted(on.items()) if len(row) > 1]
    if not crowded:
        return None
    one, other = random.sample(random.choice(crowded), 2)
    if one.station != other.station and _is_minding(problem, one, other):
        return None
    return with_booking(schedule, shifted(other, one.start - other.start))


def _is_minding(problem: Problem, *pair: Booking) -> bool:
    """Whether one hand may be at both: a machine that may be left, and light work beside it."""
    tasks, places = {t.key: t for t in problem.tasks}, {r.key: r for r in problem.resources}
    stations = [places[b.station] for b in pair if b.station is not None]
    if not problem.allows_minding or len(stations) < 2 or any(b.helpers for b in pair):
        return False
    left = [station.may_be_left for station in stations]
    light = [tasks[b.task].is_light for b in pair]
    is_near = stations[0].area == stations[1].area != ""
    return is_near and sorted(left) == [False, True] and light[left.index(False)]


def _onto_what_is_minded(
    problem: Problem,
    schedule: Schedule,
    random: Random,
    is_wrong: Callable[[Booking, Booking], bool],
) -> Schedule | None:
    """Other work of the same hand put beside a run that it minds."""
    places = {r.key: r for r in problem.resources}
    minded = [
        b for b in schedule.bookings if b.station and b.hand and places[b.station].may_be_left
    ]
    pairs = [
        (run, other)
        for run in minded
        for other in schedule.bookings
        if other.task != run.task and run.hand in other.hands and other.station
        and other.station != run.station and is_wrong(run, other)
    ]  # fmt: skip
    if not problem.allows_minding or not pairs:
        return None
    run, other = random.choice(pairs)
    return with_booking(schedule, shifted(other, run.start - other.start))


def minds_two(problem: Problem, schedule: Schedule, random: Random) -> Schedule | None:
    places = {r.key: r for r in problem.resources}
    return _onto_what_is_minded(
        problem, schedule, random, lambda _, other: places[other.station or ""].may_be_left
    )


def minds_from_afar(problem: Problem, schedule: Schedule, random: Random) -> Schedule | None:
    places = {r.key: r for r in problem.resources}
    return _onto_what_is_minded(
        problem,
        schedule,
        random,
        lambda run, other: places[run.station or ""].area != places[other.station or ""].area,
    )


def minds_beside_heavy_work(
    problem: Problem, schedule: Schedule, random: Random
) -> Schedule | None:
    tasks = {task.key: task for task in problem.tasks}
    return _onto_what_is_minded(
        problem, schedule, random, lambda _, other: not tasks[other.task].is_light
    )


def on_a_wrong_station(problem: Problem, schedule: Schedule, random: Random) -> Schedule | None:
    tasks = {task.key: task for task in problem.tasks}
    stations = [r for r in problem.resources if r.kind == "station"]
    pairs = [
        (booking, station.key)
        for booking in schedule.bookings
        for station in stations
        if station.key not in tasks[booking.task].stations
        and (
            not tasks[booking.task].station_kind
            or tasks[booking.task].station_kind not in station.station_kinds
        )
    ]
    if not pairs:
        return None
    booking, key = random.choice(pairs)
    return with_booking(schedule, replace(booking, station=key))


def without_its_hand(_: Problem, schedule: Schedule, random: Random) -> Schedule | None:
    manned = [b for b in schedule.bookings if b.hand is not None]
    if not manned:
        return None
    return with_booking(schedule, replace(random.choice(manned), hand=None, helpers=()))


def before_its_release(problem: Problem, schedule: Schedule, random: Random) -> Schedule | None:
    places = {b.task: b for b in schedule.bookings}
    late = [t for t in problem.tasks if t.release is not None and not t.under_way]
    late = [t for t in late if t.release is not None and t.release > problem.now + MINUTE]
    if not late:
        return None
    task = random.choice(late)
    booking = places[task.key]
    assert task.release is not None
    return with_booking(schedule, shifted(booking, task.release - MINUTE - booking.start))


def _of_what_is_away(
    problem: Problem, schedule: Schedule, random: Random
) -> tuple[Task, Booking] | None:
    away = {task.key: task for task in problem.tasks if task.away is not None}
    trips = [(away[b.task], b) for b in schedule.bookings if b.task in away]
    return random.choice(trips) if trips else None


def lasting(booking: Booking, start: datetime, end: datetime) -> Booking:
    return replace(booking, start=start, end=end, pieces=((start, end),))


def leaves_on_a_wrong_day(problem: Problem, schedule: Schedule, random: Random) -> Schedule | None:
    """The first tick later than the trip begins at which nothing is sent."""
    found = _of_what_is_away(problem, schedule, random)
    if found is None or found[0].away is None:
        return None
    booking, step = found[1], problem.tick_min * MINUTE
    start = booking.start
    out = problem.calendars[found[0].away.out]
    while out.is_open(start) or out.is_open(start - timedelta(microseconds=1)):
        start += step
        if start >= booking.end:
            return None
    return with_booking(schedule, lasting(booking, start, booking.end))


def back_a_day_too_soon(problem: Problem, schedule: Schedule, random: Random) -> Schedule | None:
    found = _of_what_is_away(problem, schedule, random)
    if found is None or found[0].away is None or found[0].away.days == 0:
        return None
    booking = found[1]
    zone = ZoneInfo(problem.calendars[found[0].away.out].timezone)
    day = booking.start.astimezone(zone).date() + timedelta(days=found[0].away.days)
    end = datetime.combine(day, time(), zone).astimezone(UTC) - MINUTE
    return (
        with_booking(schedule, lasting(booking, booking.start, end))
        if end > booking.start
        else None
    )


def back_the_next_time(problem: Problem, schedule: Schedule, random: Random) -> Schedule | None:
    """It stays away although it could have come back: until the same time the week after."""
    found = _of_what_is_away(problem, schedule, random)
    if found is None:
        return None
    booking = found[1]
    return with_booking(schedule, lasting(booking, booking.start, booking.end + timedelta(days=7)))


def with_a_hole(problem: Problem, schedule: Schedule, random: Random) -> Schedule | None:
    """A pause of a tick in the middle of a stretch, for which nothing is closed."""
    step = problem.tick_min * MINUTE
    regular = [b for b in schedule.bookings if not b.overtime and (b.station or b.hand)]
    long = [b for b in regular if b.pieces[0][1] - b.pieces[0][0] >= 4 * step]
    if not long:
        return None
    booking = random.choice(long)
    (start, end), *rest = booking.pieces
    middle = start + 2 * step
    pieces = ((start, middle), (middle + step, end), *rest)
    return with_booking(schedule, replace(booking, pieces=pieces))


def overtime_hushed_up(problem: Problem, schedule: Schedule, random: Random) -> Schedule | None:
    late = [b for b in schedule.bookings if b.overtime]
    if not late:
        return None
    return with_booking(schedule, replace(random.choice(late), overtime=()))


def talked_down(_: Problem, schedule: Schedule, random: Random) -> Schedule | None:
    """One measure better than it is."""
    name = random.choice(
        ["weighted_lateness_min", "makespan_min", "overtime_min", "in_progress_min", "idle_min"]
    )
    true = getattr(schedule.objective, name)
    return replace(schedule, objective=replace(schedule.objective, **{name: true - 1.0}))


SPOILS: tuple[Spoil, ...] = (
    left_out,
    planned_twice,
    cut_short,
    drawn_out,
    too_soon,
    in_the_past,
    onto_another,
    minds_two,
    minds_from_afar,
    minds_beside_heavy_work,
    on_a_wrong_station,
    without_its_hand,
    before_its_release,
    leaves_on_a_wrong_day,
    back_a_day_too_soon,
    back_the_next_time,
    with_a_hole,
    overtime_hushed_up,
    talked_down,
)


def mutants(problem: Problem, schedule: Schedule, seed: int) -> Iterator[tuple[str, Schedule]]:
    """The plan spoilt in every way that it offers a place for, with the name of each."""
    random = Random(seed)
    for spoil in SPOILS if schedule.bookings else ():
        spoilt = spoil(problem, schedule, random)
        if spoilt is not None:
            yield spoil.__name__, spoilt
