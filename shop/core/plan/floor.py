"""The problem laid out in whole numbers, as the planner works on it.

Everything that a decoder needs is an index, a tick or a tuple of them.
"""

from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from functools import partial, reduce
from itertools import combinations, product

from shop.core.plan.hours import Hours, Ticks
from shop.core.plan.minding import Shares
from shop.core.plan.prices import Prices
from shop.core.plan.problem import Away, Goal, Problem, Resource, Task
from shop.core.plan.trips import Trips, numbered

MOVED = timedelta(minutes=15)
"""A start that is off by no more than this is where people were told."""


@dataclass(frozen=True, slots=True)
class Mode:
    """One way to staff a job: a station or none (-1), a set of hands, their common hours.

    `uses` is what must be free: the station, then for each hand what stands for it, then whatever
    else of a hand that may be shared (see `minding`). `work` is in ticks without set-up,
    `work_setup` with it. `hours` is None by the wall clock; of what is away they are its trips, and
    `work` is the shortest of them. `calendar` is the number of the hours, -1 by the wall clock, -2
    and below for trips. `skill` is what the hands could do beyond this job: the least skilled are
    taken first. `shares_setup` is true where a set-up can be kept; `work_after` is the work after
    certain families, where the set-up depends on them. `regular` are, for a mode with offered
    hours, the regular ones of each whose overtime counts.
    """

    station: int
    hands: tuple[int, ...]
    uses: tuple[int, ...]
    work: int
    work_setup: int
    hours: Hours | Trips | None
    calendar: int
    skill: int
    shares_setup: bool
    work_after: tuple[tuple[str, int], ...] = ()
    regular: tuple[int, ...] = ()

    def used(self, start: int, end: int) -> int:
        """Ticks of work and set-up in a run; a trip is as much work as the shortest."""
        if isinstance(self.hours, Hours):
            return self.hours.worked(start, end)
        return self.work if self.hours is not None else end - start

    @property
    def crew(self) -> tuple[int, ...]:
        """The station, if there is one, and the hands themselves."""
        return self.hands if self.station < 0 else (self.station, *self.hands)

    @property
    def seats(self) -> tuple[int, ...]:
        """What stands for each hand in `uses`."""
        first = int(self.station >= 0)
        return self.uses[first : first + len(self.hands)]


@dataclass(frozen=True, slots=True)
class Job:
    """A task in ticks; `told` is the start and the resources that people were told.

    `lag` is below 0 for a task that takes over in batches: as much of the work is then still to
    come as the wall clock runs to the end of what goes before. Its first `free` modes are there for
    every rule; the others cost overtime, and only the search offers them.
    """

    index: int
    family: str
    modes: tuple[Mode, ...]
    before: tuple[int, ...]
    after: tuple[int, ...]
    lag: int
    release: int
    order: int
    breakable: bool
    fixed_start: int | None
    under_way: bool
    gear: tuple[tuple[int, int], ...]
    gear_hold: int
    told: tuple[int, frozenset[int]] | None = None
    free: int = 0
    is_batched: bool = False

    def length(self, mode: Mode, previous: str | None) -> int:
        """Ticks of work after a task of family `previous` on the same station."""
        if mode.shares_setup and self.family != "":
            for family, work in mode.work_after:
                if family == previous:
                    return work
        kept = mode.shares_setup and self.family != "" and self.family == previous
        return mode.work if kept else mode.work_setup

    @property
    def least_work(self) -> int:
        """Ticks of work in the quickest way."""
        return min(mode.work for mode in self.modes)


@dataclass(frozen=True, slots=True)
class Floor:
    """The whole shop in ticks; `due` is None for an order that is not due.

    Behind the resources of the problem stand those that a shared hand is made of (see `minding`).
    `own_calendar` is the number of each resource's own hours, offered ones included, -1 for gear.
    `is_final` says that nothing may be planned after the hours laid out here. Prices are those of a
    tick; `late_price` is that of each order once it is late, `begun` which orders are in progress.
    """

    ticks: Ticks
    jobs: tuple[Job, ...]
    capacity: tuple[int, ...]
    family: tuple[str, ...]
    due: tuple[int | None, ...]
    weight: tuple[float, ...]
    in_order: tuple[int, ...]
    calendars: tuple[Hours, ...]
    trips: tuple[Trips, ...]
    own_calendar: tuple[int, ...]
    is_final: bool
    move_price: float = 0.0
    late_price: tuple[float, ...] = ()
    begun: tuple[bool, ...] = ()
    prices: Prices = field(default_factory=Prices)

    def overtime(self, mode: Mode, start: int, end: int) -> int:
        """Ticks of overtime in a run, summed over all who work it."""
        if not mode.regular:
            return 0
        used = mode.used(start, end)
        return sum(used - self.calendars[i].worked(start, end) for i in mode.regular)

    def is_moved(self, job: Job, mode: int, start: int) -> bool:
        """Whether a job would not be where people were told."""
        if job.told is None:
            return False
        return (
            abs(start - job.told[0]) * self.ticks.step > MOVED
            or frozenset(job.modes[mode].crew) != job.told[1]
        )


def lay_out(problem: Problem, until: datetime) -> Floor:
    """Lays out a sound problem with its calendars up to `until`."""
    ticks, prices = Ticks(problem.now, problem.tick_min), problem.prices
    crews = _Crews(problem, ticks, until)
    index = {task.key: i for i, task in enumerate(problem.tasks)}
    orders = {order.key: i for i, order in enumerate(problem.orders)}
    before = [
        () if task.under_way else tuple(index[key] for key in dict.fromkeys(task.after))
        for task in problem.tasks
    ]
    after: list[list[int]] = [[] for _ in problem.tasks]
    for i, earlier in enumerate(before):
        for j in earlier:
            after[j].append(i)
    modes = [_modes(task, ticks, crews) for task in problem.tasks]
    modes, owners = _shared(problem, modes)
    jobs = tuple(
        Job(
            index=i,
            family=task.family,
            modes=modes[i],
            before=before[i],
            after=tuple(after[i]),
            lag=ticks.lasting(task.lag_min)
            - _overlap(task, ticks, [problem.tasks[j] for j in before[i]]),
            release=_release(task, ticks),
            order=orders.get(task.order, -1),
            breakable=task.breakable or task.away is not None,
            fixed_start=ticks.up(task.pinned_start) if task.pinned_start is not None else None,
            under_way=task.under_way,
            gear=tuple((crews.number[key], count) for key, count in sorted(task.gear.items())),
            gear_hold=ticks.lasting(task.gear_hold_min),
            told=_told(task, ticks, crews.number),
            free=_free(task, modes[i]),
            is_batched=task.batch_share < 1 and bool(before[i]),
        )
        for i, task in enumerate(problem.tasks)
    )
    own_calendar = tuple(crews.own(resource) for resource in problem.resources)
    own_calendar += tuple(own_calendar[hand] for hand in owners)
    return Floor(
        ticks=ticks,
        jobs=jobs,
        capacity=(*(resource.capacity for resource in problem.resources), *(1 for _ in owners)),
        family=(*(resource.family for resource in problem.resources), *("" for _ in owners)),
        due=tuple(ticks.up(o.due) if o.due is not None else None for o in problem.orders),
        weight=tuple(order.weight * prices.lateness for order in problem.orders),
        in_order=tuple(job.order for job in jobs),
        calendars=tuple(crews.calendars),
        trips=tuple(crews.trips.values()),
        own_calendar=own_calendar,
        is_final=problem.horizon is not None and until >= problem.horizon,
        move_price=problem.move_price / problem.tick_min if problem.goal is Goal.LATENESS else 0.0,
        late_price=tuple(o.weight * prices.late_orders / problem.tick_min for o in problem.orders),
        begun=tuple(order.is_begun for order in problem.orders),
        prices=prices,
    )


def without_fixed_starts(floor: Floor) -> Floor:
    """The same floor with every pinned time as a release only."""
    jobs = tuple(
        replace(job, release=max(job.release, job.fixed_start or 0), fixed_start=None)
        for job in floor.jobs
    )
    return replace(floor, jobs=jobs)


def stations_for(task: Task, resources: tuple[Resource, ...]) -> list[Resource]:
    """The stations that can take a task, in the order in which they are preferred."""
    stations = {r.key: r for r in resources if r.kind == "station"}
    if task.stations:
        able = [stations[key] for key in dict.fromkeys(task.stations)]
    elif task.station_kind:
        able = [r for r in stations.values() if task.station_kind in r.station_kinds]
    else:
        able = []
    if task.pinned_station is not None:
        able = [r for r in able if r.key == task.pinned_station]
    return able


def hands_for(task: Task, resources: tuple[Resource, ...]) -> list[Resource]:
    """The hands that have the skills a task asks for; the pinned one is not singled out."""
    hands = [r for r in resources if r.kind == "hand"]
    if not task.hands and not task.skills:
        return []
    return [
        hand
        for hand in hands
        if (not task.hands or hand.key in task.hands)
        and all(hand.skills.get(skill, 0) >= level for skill, level in task.skills.items())
    ]


class _Crews:
    """Who can work where with whom; each answer is made once, as many tasks ask the same."""

    def __init__(self, problem: Problem, ticks: Ticks, until: datetime) -> None:
        self.resources = problem.resources
        self.number = {resource.key: i for i, resource in enumerate(problem.resources)}
        used = {
            key for r in problem.resources if r.kind != "gear" for key in (r.calendar, r.overtime)
        }
        self.single = {
            key: Hours.from_openings(calendar.openings(ticks.origin, until), ticks)
            for key, calendar in problem.calendars.items()
            if key in used
        }
        self.trips_of = partial(Trips.of, calendars=problem.calendars, ticks=ticks, until=until)
        self.trips: dict[Away, Trips] = {}
        self.index: dict[frozenset[tuple[str, str]], int] = {}
        self.calendars: list[Hours] = []
        self.known: dict[Hashable, list[Mode]] = {}
        self.staffed: dict[Hashable, tuple[Mode, ...]] = {}

    def away(self, away: Away) -> tuple[Mode, ...]:
        """The one way to be away; none where no trip is over in time."""
        if away not in self.trips:
            self.trips[away] = self.trips_of(away)
        trips, number = self.trips[away], numbered([*self.trips].index(away))
        mode = Mode(-1, (), (), trips.least, trips.least, trips, number, 0, False)
        return (mode,) if trips.starts else ()

    def able(self, task: Task) -> list[Mode]:
        """The crews for a task that have common hours, as modes without work; overtime is last."""
        key = (
            (task.stations, task.station_kind, task.hands, task.hand_count),
            (frozenset(task.skills.items()), task.pinned_station, task.pinned_hand),
        )
        if key not in self.known:
            pairs = [*self._pairs(task)]
            crews = [self._mode(station, team) for station, team in pairs]
            longer = (self._longer(station, team) for station, team in pairs)
            crews += sorted((m for m in longer if m is not None), key=lambda m: bool(m.regular))
            self.known[key] = [m for m in crews if m.hours is None or m.hours.starts]
        return self.known[key]

    def own(self, resource: Resource) -> int:
        """The number of a resource's own hours; -1 for gear, which has none."""
        return -1 if resource.kind == "gear" else self._common([resource], offered=True)

    def _pairs(self, task: Task) -> Iterator[tuple[Resource | None, tuple[Resource, ...]]]:
        stations: list[Resource | None] = [None]
        if task.stations or task.station_kind:
            stations = [*stations_for(task, self.resources)]
        teams: list[tuple[Resource, ...]] = [()]
        if task.hands or task.skills:
            teams = list(combinations(hands_for(task, self.resources), task.hand_count))
        if task.pinned_hand is not None:
            teams = [team for team in teams if task.pinned_hand in {hand.key for hand in team}]
        return product(stations, teams)

    def _mode(self, station: Resource | None, team: tuple[Resource, ...]) -> Mode:
        crew = team if station is None else (station, *team)
        calendar = self._common(crew)
        return Mode(
            station=-1 if station is None else self.number[station.key],
            hands=tuple(self.number[hand.key] for hand in team),
            uses=tuple(self.number[resource.key] for resource in crew),
            work=0,
            work_setup=0,
            hours=self.calendars[calendar] if crew else None,
            calendar=calendar,
            skill=sum(sum(hand.skills.values()) for hand in team),
            shares_setup=station is not None and station.capacity == 1,
        )

    def _longer(self, station: Resource | None, team: tuple[Resource, ...]) -> Mode | None:
        """The mode with the hours that are offered beside the regular ones; None without any.

        Overtime is that of the hands, or of a station that runs alone.
        """
        crew = team if station is None else (station, *team)
        calendar = self._common(crew, offered=True)
        if calendar == self._common(crew):
            return None
        hours = self.calendars[calendar]
        paid = [self.single[r.calendar] for r in team or crew if r.overtime]
        regular = tuple(self._number(hours.both(own)) for own in paid)
        mode = self._mode(station, team)
        return replace(mode, hours=hours, calendar=calendar, regular=regular)

    def _common(self, crew: Sequence[Resource], *, offered: bool = False) -> int:
        """The number of the hours that a crew has in common; -1 for nobody, the wall clock."""
        if not crew:
            return -1
        keys = frozenset((r.calendar, r.overtime if offered else "") for r in crew)
        if keys not in self.index:
            each = (self._hours(own, overtime) for own, overtime in sorted(keys))
            self.index[keys] = self._number(reduce(Hours.both, each))
        return self.index[keys]

    def _hours(self, own: str, overtime: str) -> Hours:
        return self.single[own].either(self.single[overtime]) if overtime else self.single[own]

    def _number(self, hours: Hours) -> int:
        if hours not in self.calendars:
            self.calendars.append(hours)
        return self.calendars.index(hours)


def _modes(task: Task, ticks: Ticks, crews: _Crews) -> tuple[Mode, ...]:
    """The crews with the work that each would have; the same for all tasks with the same work."""
    if task.away is not None:
        return crews.away(task.away)
    able = crews.able(task)
    setup = 0.0 if task.under_way else task.setup_min
    setups = {} if task.under_way else task.setup_after
    keys = {
        crew.station: None if crew.station < 0 else crews.resources[crew.station].key
        for crew in able
    }
    minutes = {station: task.work_min(key) for station, key in keys.items()}
    same: Hashable = (id(able), *minutes.values(), setup, *setups.items())
    if same not in crews.staffed:
        work = {
            station: (max(1, ticks.lasting(of_it)), max(1, ticks.lasting(of_it + setup)))
            for station, of_it in minutes.items()
        }
        after = {
            station: tuple((f, max(1, ticks.lasting(of_it + more))) for f, more in setups.items())
            for station, of_it in minutes.items()
        }
        crews.staffed[same] = tuple(
            Mode(
                crew.station,
                crew.hands,
                crew.uses,
                *work[crew.station],
                crew.hours,
                crew.calendar,
                crew.skill,
                crew.shares_setup,
                after[crew.station] if crew.shares_setup else (),
                crew.regular,
            )
            for crew in able
        )
    return crews.staffed[same]


def _shared(
    problem: Problem, modes: list[tuple[Mode, ...]]
) -> tuple[list[tuple[Mode, ...]], Sequence[int]]:
    """The modes with what they use of hands that may be shared, and the hand of each resource added."""
    if not problem.allows_minding:
        return modes, ()
    shares = Shares(problem, [[(mode.station, mode.hands) for mode in ways] for ways in modes])
    found = [
        tuple(replace(mode, uses=shares.uses(task, mode.station, mode.hands)) for mode in ways)
        for task, ways in zip(problem.tasks, modes, strict=True)
    ]
    return found, shares.owners


def _free(task: Task, modes: Sequence[Mode]) -> int:
    """How many modes a rule may take: overtime only where the work is fixed or fits nowhere else."""
    regular = [mode for mode in modes if not mode.regular]
    is_fixed = task.under_way or task.pinned_start is not None
    fits = (
        task.breakable or not isinstance(m.hours, Hours) or m.hours.longest >= m.work
        for m in regular
    )
    return len(regular) if any(fits) and not is_fixed else len(modes)


def _overlap(task: Task, ticks: Ticks, before: Sequence[Task]) -> int:
    """Ticks that a task may start before the end of what it takes over in batches.

    All but a batch of the shorter work, in the quickest way: whatever pauses there are, no more
    than that is worked in so long a time of the wall clock.
    """
    if task.batch_share >= 1 or not before:
        return 0
    quickest = min(
        one.work_min(station) for one in (task, *before) for station in (None, *one.minutes_on)
    )
    return int(timedelta(minutes=quickest * (1 - task.batch_share)) // ticks.step)


def _told(task: Task, ticks: Ticks, number: Mapping[str, int]) -> tuple[int, frozenset[int]] | None:
    if task.told is None:
        return None
    keys = [*task.told.hands, *([task.told.station] if task.told.station is not None else [])]
    return ticks.up(task.told.start), frozenset(number.get(key, -1) for key in keys)


def _release(task: Task, ticks: Ticks) -> int:
    return 0 if task.release is None or task.under_way else max(0, ticks.up(task.release))
