"""Shops to plan in tests: tiny ones in one line, random ones of every shape, joinery shops.

All figures are invented for the tests.
"""

from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, datetime, time, timedelta
from random import Random

from shop.core.calendar import Calendar, Closure, Opening, Shift, round_the_clock, weekdays
from shop.core.plan.prices import Prices
from shop.core.plan.problem import Away, Goal, Order, Problem, Resource, Task

NOW = datetime(2026, 1, 5, 7, 0, tzinfo=UTC)
"""A Monday, before work begins."""

DAY_SHIFT = weekdays(
    "UTC",
    (time(8), time(10)),
    (time(10, 15), time(12, 30)),
    (time(13), time(17)),
)


def at(hour: int, minute: int = 0, *, day: int = 0) -> datetime:
    """A time on the first planned day, or so many days later."""
    return NOW.replace(hour=hour, minute=minute) + timedelta(days=day)


def a_station(key: str, **changes: object) -> Resource:
    return Resource(**{"key": key, "kind": "station", "calendar": "day", **changes})  # type: ignore[arg-type]


def a_hand(key: str, **changes: object) -> Resource:
    return Resource(**{"key": key, "kind": "hand", "calendar": "day", **changes})  # type: ignore[arg-type]


def gear(key: str, capacity: int) -> Resource:
    return Resource(key=key, kind="gear", capacity=capacity)


def a_problem(
    resources: Iterable[Resource],
    tasks: Iterable[Task],
    orders: Iterable[Order] = (),
    *,
    calendars: dict[str, Calendar] | None = None,
    now: datetime = NOW,
    goal: Goal = Goal.LATENESS,
    tick_min: int = 1,
    horizon: datetime | None = None,
) -> Problem:
    return Problem(
        now=now,
        horizon=horizon,
        tick_min=tick_min,
        goal=goal,
        calendars={"day": DAY_SHIFT, "always": round_the_clock(), **(calendars or {})},
        resources=tuple(resources),
        tasks=tuple(tasks),
        orders=tuple(orders),
    )


def job_shop(rows: Iterable[str]) -> Problem:
    """A classical job shop, one row of "machine minutes machine minutes ..." per job."""
    tasks, machines = [], set()
    for job, row in enumerate(rows):
        numbers = [int(n) for n in row.split()]
        for step, (machine, minutes) in enumerate(zip(numbers[::2], numbers[1::2], strict=True)):
            machines.add(machine)
            tasks.append(
                Task(
                    key=f"{job}.{step}",
                    minutes=minutes,
                    stations=(f"m{machine}",),
                    after=(f"{job}.{step - 1}",) if step else (),
                )
            )
    return a_problem(
        [a_station(f"m{machine}", calendar="always") for machine in sorted(machines)],
        tasks,
        goal=Goal.MAKESPAN,
    )


def a_random_shop(seed: int, size: int) -> Problem:
    """A shop of any shape: pauses, leave, night shifts, kinds, skills, teams, gear, pins."""
    random = Random(seed)
    zone = random.choice(["UTC", "Europe/Berlin", "America/New_York", "Australia/Lord_Howe"])
    now = random.choice(
        [
            NOW,
            datetime(2026, 3, 27, 9, 0, tzinfo=UTC),
            datetime(2026, 10, 23, 11, 17, 30, tzinfo=UTC),
            datetime(2026, 4, 3, 6, 59, tzinfo=UTC),
        ]
    )
    calendars = _random_calendars(random, zone, now)
    names = sorted(calendars.keys() - {"evening"})
    stations = [
        a_station(
            f"s{i}",
            calendar=random.choice(names),
            capacity=random.choice([1, 1, 1, 2, 3]),
            station_kinds=tuple(k for k in ("bench", "saw") if random.random() < 0.6),
            family=random.choice(["", "a", "b"]),
        )
        for i in range(random.randint(1, 4))
    ]
    stations[0] = a_station("s0", calendar=names[0], station_kinds=("bench", "saw"))
    hands = [
        a_hand(
            f"h{i}",
            calendar=random.choice(names),
            skills={skill: random.randint(0, 3) for skill in ("joinery", "finishing")},
        )
        for i in range(random.randint(1, 4))
    ]
    hands[0] = a_hand("h0", calendar=names[0], skills={"joinery": 3, "finishing": 3})
    clamps = gear("clamps", random.randint(1, 4))
    orders = [
        Order(
            key=f"o{i}",
            due=now + timedelta(minutes=random.randint(-600, 6000))
            if random.random() < 0.9
            else None,
            weight=random.choice([0, 1, 1, 2, 2.5]),
        )
        for i in range(random.randint(1, 4))
    ]
    tasks = [_random_task(random, i, now, stations, hands, clamps, orders) for i in range(size)]
    prices, offered = _random_prices(Random(seed + 1)), Random(seed + 2)
    if offered.random() < 0.5:
        stations, hands = (
            [replace(r, overtime=offered.choice(["", "evening", "round"])) for r in resources]
            for resources in (stations, hands)
        )
        orders = [replace(order, is_begun=offered.random() < 0.3) for order in orders]
    if offered.random() < 0.4:
        tasks = [replace(task, batch_share=offered.choice([1, 0.1, 0.25, 0.5])) for task in tasks]
    minding = Random(seed + 3)
    allows_minding = minding.random() < 0.4
    if allows_minding:
        stations, tasks = with_places(minding, stations), with_light_work(minding, tasks)
    if Random(seed + 4).random() < 0.4:
        calendars, tasks = with_outwork(Random(seed + 5), zone, now, calendars, tasks)
    return Problem(
        now=now,
        allows_minding=allows_minding,
        prices=prices,
        tick_min=random.choice([1, 1, 5, 15]),
        goal=random.choice(list(Goal)),
        calendars=calendars,
        resources=(*stations, *hands, clamps),
        tasks=tuple(tasks),
        orders=tuple(orders),
    )


def with_places(random: Random, stations: Iterable[Resource]) -> list[Resource]:
    """The stations in areas of the workshop, some of them to be left to run."""
    return [
        replace(
            s, area=random.choice(["", "yard", "hall", "hall"]), may_be_left=random.random() < 0.4
        )
        for s in stations
    ]


def with_light_work(random: Random, tasks: Iterable[Task]) -> list[Task]:
    return [replace(task, is_light=random.random() < 0.6) for task in tasks]


def with_outwork(
    random: Random, zone: str, now: datetime, calendars: dict[str, Calendar], tasks: Iterable[Task]
) -> tuple[dict[str, Calendar], list[Task]]:
    """Some of the tasks without people as trips, with days on which they leave and come back."""
    holiday = now + timedelta(minutes=random.randint(0, 12000))
    closed = (Closure(start=holiday, end=holiday + timedelta(days=random.randint(1, 3))),)
    spans = [(time(0), time(0)), (time(8), time(12)), (time(13, 7), time(17))]
    rounds = {
        name: replace(
            weekdays(
                zone, random.choice(spans), days=random.sample(range(7), random.randint(1, 5))
            ),
            closures=closed if random.random() < 0.5 else (),
        )
        for name in ("collected", "delivered")
    }
    free = ("stations", "station_kind", "hands", "skills", "pinned_start")
    changed = [
        replace(
            task,
            away=Away(
                out=random.choice(["collected", "collected", "a day"]),
                back=random.choice(["delivered", "delivered", "a day"]),
                days=random.choice([0, 0, 1, 2, 5]),
            ),
            gear={}, setup_min=0, setup_after={}, spread=0, batch_share=1.0, under_way=False,
            pinned_station=None, pinned_hand=None, done_share=0,
        )
        if random.random() < 0.7 and not any(getattr(task, name) for name in free)
        else task
        for task in tasks
    ]  # fmt: skip
    return {**calendars, **rounds}, changed


def _random_prices(random: Random) -> Prices:
    """Lateness alone, or what an owner may put beside it."""
    if random.random() < 0.4:
        return Prices()
    return Prices(
        lateness=random.choice([0, 1, 1.5]),
        late_orders=random.choice([0, 0, 600]),
        overtime=random.choice([0, 0.1, 5]),
        setup=random.choice([0, 0.5]),
        in_progress=random.choice([0, 0, 0.05]),
        idle=random.choice([0, 0, 0.2]),
    )


def _random_calendars(random: Random, zone: str, now: datetime) -> dict[str, Calendar]:
    day = tuple(
        Shift(weekday=d, start=a, end=b)
        for d in range(5)
        for a, b in [(time(8), time(12)), (time(12, 30), time(17, 7))]
    )
    late = tuple(Shift(weekday=d, start=time(11), end=time(20)) for d in range(6))
    night = tuple(Shift(weekday=d, start=time(22), end=time(12, 30)) for d in range(7))
    evening = tuple(Shift(weekday=d, start=time(17), end=time(19, 3)) for d in range(6))
    begin = now + timedelta(minutes=random.randint(0, 4000))
    leave = Closure(start=begin, end=begin + timedelta(minutes=random.randint(30, 5000)))
    overtime = Opening(start=leave.start + timedelta(minutes=10), end=leave.end)
    return {
        "a day": Calendar(timezone=zone, weekly=day),
        "day with leave": Calendar(timezone=zone, weekly=day, closures=(leave,)),
        "late": Calendar(timezone=zone, weekly=late, closures=(leave,), extra=(overtime,)),
        "night": Calendar(timezone=zone, weekly=night),
        "evening": Calendar(timezone=zone, weekly=evening, closures=(leave,)),
        "round": round_the_clock(zone),
    }


def _random_task(
    random: Random,
    i: int,
    now: datetime,
    stations: list[Resource],
    hands: list[Resource],
    clamps: Resource,
    orders: list[Order],
) -> Task:
    kind = random.random()
    staffed, manned = kind < 0.8, 0.15 < kind < 0.9
    breakable = random.random() < 0.8
    able = random.sample(stations, random.randint(1, len(stations)))
    crew = random.sample(hands, random.randint(1, len(hands)))
    skilled = random.random() < 0.4
    two = not skilled and len(crew) > 1 and random.random() < 0.3
    named = random.random() < 0.7
    return Task(
        key=f"t{i}",
        minutes=random.choice([1, 7, 15, 30, 59.5, 120])
        * (1 if not breakable else random.choice([1, 8])),
        stations=tuple({"s0", *(s.key for s in able)})
        and tuple(sorted({"s0", *(s.key for s in able)}))
        if staffed and named
        else (),
        station_kind=random.choice(["bench", "saw"]) if staffed and not named else "",
        hands=tuple(sorted({"h0", *(h.key for h in crew)})) if manned and not skilled else (),
        skills={"joinery": random.randint(1, 3)} if manned and skilled else {},
        hand_count=2 if manned and two else 1,
        minutes_on={"s0": random.choice([5, 22.5, 45])} if random.random() < 0.2 else {},
        gear={"clamps": random.randint(1, clamps.capacity)} if random.random() < 0.25 else {},
        gear_hold_min=random.choice([0, 30, 600]),
        after=tuple(f"t{j}" for j in range(max(0, i - 6), i) if random.random() < 0.2),
        lag_min=random.choice([0, 0, 0, 45, 900]),
        family=random.choice(["", "a", "b"]),
        setup_min=random.choice([0, 0, 10, 20.5]),
        release=now + timedelta(minutes=random.randint(-100, 3000))
        if random.random() < 0.2
        else None,
        order=random.choice([*(o.key for o in orders), ""]),
        breakable=breakable,
        pinned_station="s0" if staffed and random.random() < 0.1 else None,
        pinned_hand="h0" if manned and random.random() < 0.1 else None,
        under_way=i < 2 and random.random() < 0.3,
    )


def a_joinery_shop(seed: int, orders: int, *, people: int = 6, tick_min: int = 5) -> Problem:
    """Up to six people, seven machines, four benches and clamps; about thirty tasks an order.

    Orders are due when between a quarter and six sevenths of all work could be done, but never
    sooner than four days after their timber is there: no rule is excused by what cannot be helped.
    """
    random = Random(seed)
    skills = [(3, 2, 0), (1, 3, 2), (1, 3, 1), (2, 3, 0), (0, 2, 3), (1, 1, 2)][:people]
    hands = [
        a_hand(f"hand {i}", skills=dict(zip(("machine", "joinery", "finish"), levels, strict=True)))
        for i, levels in enumerate(skills)
    ]
    machines = ["saw", "planer", "mortiser", "tenoner", "router", "sander", "booth"]
    resources = [
        *(a_station(name) for name in machines),
        a_station("bench", capacity=4),
        *hands,
        gear("clamps", 8),
    ]
    tasks: list[Task] = []
    days: list[int] = []

    def add(order: str, what: str, minutes: float, after: list[str], **more: object) -> list[str]:
        key = f"{order}/{len(tasks)} {what}"
        fields = {"key": key, "minutes": minutes, "order": order, "after": tuple(after), **more}
        tasks.append(Task(**fields))  # type: ignore[arg-type]
        return [key]

    for number in range(orders):
        order, joined = f"order {number}", []
        days.append(random.randint(0, 15) if random.random() > 0.55 else 0)
        release = NOW + timedelta(days=days[-1]) if days[-1] else None
        for _ in range(random.randint(1, 3)):
            parts: list[str] = []
            for _ in range(random.randint(2, 4)):
                last: list[str] = []
                for machine, low, high in [("saw", 10, 30), ("planer", 15, 40)]:
                    last = add(
                        order,
                        machine,
                        random.randrange(low, high, 5),
                        last,
                        stations=(machine,),
                        skills={"machine": 1},
                        release=release,
                    )
                for _ in range(random.randint(1, 2)):
                    machine = random.choice(["mortiser", "tenoner", "router", "bench"])
                    by_hand = machine == "bench"
                    last = add(
                        order,
                        machine,
                        random.randrange(20, 90, 5),
                        last,
                        stations=(machine,),
                        skills={"joinery": 2} if by_hand else {"machine": 2},
                        family="" if by_hand else random.choice("pqrs"),
                        setup_min=0 if by_hand else random.choice([15, 20]),
                    )
                parts += last
            last = add(order, "dry fit", 20, parts, stations=("bench",), skills={"joinery": 1})
            last = add(
                order,
                "glue up",
                25,
                last,
                stations=("bench",),
                skills={"joinery": 2},
                breakable=False,
                gear={"clamps": random.randint(1, 3)},
                gear_hold_min=random.choice([60, 120, 180, 720]),
            )
            last = add(
                order,
                "clean up",
                20,
                last,
                stations=("bench",),
                skills={"joinery": 1},
                lag_min=random.choice([60, 120, 180, 720]),
            )
            joined += add(
                order,
                "sand",
                random.randrange(20, 60, 5),
                last,
                stations=("sander", "bench"),
                skills={"finish": 1},
            )
        last = add(order, "fit", 60, joined, stations=("bench",), skills={"joinery": 2})
        last = add(order, "first coat", 40, last, stations=("booth",), skills={"finish": 2})
        last = add(
            order,
            "second coat",
            40,
            last,
            stations=("booth",),
            skills={"finish": 2},
            lag_min=random.choice([120, 240]),
        )
        add(order, "pack", 25, last, stations=("bench",), skills={"joinery": 1}, lag_min=720)
    work = sum(task.minutes for task in tasks) / len(hands) / 495 * 7 / 5
    dues = [
        Order(
            key=f"order {number}",
            due=at(17, day=max(days[number] + 4, round(work * random.uniform(0.25, 0.85)))),
            weight=random.choice([1, 1, 1, 2, 2, 4]),
        )
        for number in range(orders)
    ]
    return a_problem(resources, tasks, dues, tick_min=tick_min)
