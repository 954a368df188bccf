"""The checker: lets good plans pass and catches each way of spoiling one."""

import ast
import inspect
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest

from shop.core.plan import check as module
from shop.core.plan.check import check
from shop.core.plan.planner import plan
from shop.core.plan.problem import Order, Problem, Task
from shop.core.plan.schedule import Booking, Schedule
from tests.shop.core.plan.shops import a_hand, a_problem, a_station, at, gear

HOUR = timedelta(hours=1)


def a_full_shop() -> Problem:
    """One of everything; the mutations below know its tasks by name."""
    return a_problem(
        [
            a_station("saw"),
            a_station("mortiser"),
            a_station("bench", capacity=2),
            a_station("booth"),
            a_hand("Ada", skills={"joinery": 3}),
            a_hand("Ben", skills={"joinery": 2}),
            a_hand("Cyd", skills={"finish": 2}),
            gear("clamps", 3),
        ],
        [
            Task(key="rip", minutes=100, stations=("saw",), hands=("Ada",), under_way=True,
                 done_share=0.4, pinned_hand="Ada"),
            Task(key="mortise", minutes=60, stations=("mortiser",), hands=("Ada", "Ben"),
                 after=("rip",), family="ten", setup_min=20),
            Task(key="slot", minutes=45, stations=("mortiser",), hands=("Ada", "Ben"),
                 after=("mortise",), family="ten", setup_min=20),
            Task(key="glue", minutes=30, stations=("bench",), skills={"joinery": 2}, hand_count=2,
                 after=("slot",), breakable=False, gear={"clamps": 2}, gear_hold_min=180),
            Task(key="glue two", minutes=30, stations=("bench",), skills={"joinery": 2},
                 breakable=False, gear={"clamps": 2}, gear_hold_min=180, after=("rip",)),
            Task(key="cure", minutes=720, after=("glue",)),
            Task(key="clean", minutes=300, stations=("bench",), skills={"joinery": 2},
                 after=("cure", "glue two"), lag_min=30, order="chest"),
            Task(key="oil", minutes=30, stations=("booth",), skills={"finish": 2},
                 after=("clean",), pinned_start=at(9, day=3), pinned_station="booth",
                 pinned_hand="Cyd", order="chest"),
            Task(key="sweep", minutes=30, hands=("Cyd",), release=at(15)),
        ],
        [Order(key="chest", due=at(12, day=2), weight=2)],
    )  # fmt: skip


@pytest.fixture(scope="module")
def full() -> tuple[Problem, Schedule]:
    problem = a_full_shop()
    return problem, plan(problem)


def booking(schedule: Schedule, task: str) -> Booking:
    return next(b for b in schedule.bookings if b.task == task)


def changed(schedule: Schedule, name: str, **changes: object) -> Schedule:
    return replace(
        schedule,
        bookings=tuple(
            replace(b, **changes) if b.task == name else b  # type: ignore[arg-type]
            for b in schedule.bookings
        ),
    )


def shifted(schedule: Schedule, task: str, by: timedelta) -> Schedule:
    b = booking(schedule, task)
    return changed(
        schedule,
        task,
        start=b.start + by,
        end=b.end + by,
        pieces=tuple((start + by, end + by) for start, end in b.pieces),
    )


def moved_to(schedule: Schedule, task: str, other: str) -> Schedule:
    return shifted(schedule, task, booking(schedule, other).start - booking(schedule, task).start)


def with_pieces(schedule: Schedule, task: str, *pieces: tuple[object, object]) -> Schedule:
    return changed(schedule, task, pieces=pieces, start=pieces[0][0], end=pieces[-1][1])


def halved(schedule: Schedule, task: str) -> Schedule:
    b = booking(schedule, task)
    start, end = b.pieces[0]
    return with_pieces(schedule, task, (start, start + (end - start) / 2))


def torn(schedule: Schedule, task: str) -> Schedule:
    """The same work, with an idle quarter of an hour in the first piece."""
    start, end = booking(schedule, task).pieces[0]
    rest, gap = booking(schedule, task).pieces[1:], timedelta(minutes=15)
    middle = start + timedelta(minutes=5)
    return with_pieces(schedule, task, (start, middle), (middle + gap, end + gap), *rest)


MUTATIONS: dict[str, tuple[str, Callable[[Schedule], Schedule]]] = {
    "a task is left out": ("once", lambda s: replace(s, bookings=s.bookings[1:])),
    "a task is planned twice": ("once", lambda s: replace(s, bookings=s.bookings + s.bookings[:1])),
    "a task nobody asked for": ("once", lambda s: changed(s, "sweep", task="dust")),
    "an unknown station": ("staffing", lambda s: changed(s, "slot", station="lathe")),
    "a hand used as a station": ("staffing", lambda s: changed(s, "slot", station="Ada")),
    "a station that cannot do it": ("station", lambda s: changed(s, "slot", station="saw")),
    "no station": ("station", lambda s: changed(s, "slot", station=None)),
    "a station for curing": ("station", lambda s: changed(s, "cure", station="saw")),
    "a hand that may not": ("hands", lambda s: changed(s, "slot", hand="Cyd")),
    "a hand too few": ("hands", lambda s: changed(s, "glue", helpers=())),
    "a hand counted twice": (
        "hands", lambda s: changed(s, "glue", helpers=(booking(s, "glue").hand,)),
    ),
    "nobody at the machine": ("hands", lambda s: changed(s, "slot", hand=None)),
    "a hand without the skill": ("skill", lambda s: changed(s, "clean", hand="Cyd")),
    "a pin on a time is moved": ("pin", lambda s: shifted(s, "oil", HOUR)),
    "a pin on a station is moved": ("pin", lambda s: changed(s, "oil", station="bench")),
    "a pin on a hand is moved": ("pin", lambda s: changed(s, "rip", hand="Ben")),
    "a start in the past": ("time", lambda s: shifted(s, "sweep", timedelta(days=-7))),
    "a start before the release": ("release", lambda s: shifted(s, "sweep", -HOUR)),
    "a task before its predecessor": ("precedence", lambda s: moved_to(s, "slot", "mortise")),
    "a lag cut short": (
        "precedence", lambda s: shifted(
            s, "clean", booking(s, "cure").end + HOUR / 6 - booking(s, "clean").start),
    ),
    "work cut short": ("duration", lambda s: halved(s, "slot")),
    "a set-up left out": (
        "duration",
        lambda s: with_pieces(
            s, "mortise",
            (booking(s, "mortise").start, booking(s, "mortise").start + HOUR),
        ),
    ),
    "pieces that do not span": (
        "pieces", lambda s: changed(s, "slot", end=booking(s, "slot").end + HOUR),
    ),
    "no pieces": ("pieces", lambda s: changed(s, "slot", pieces=())),
    "an idle pause": ("pause", lambda s: torn(s, "clean")),
    "a pause in a glue-up": ("pause", lambda s: torn(s, "glue")),
    "work in the night": ("calendar", lambda s: shifted(s, "sweep", 12 * HOUR)),
    "work through the break": (
        "calendar",
        lambda s: with_pieces(s, "sweep", (at(12, 15, day=1), at(12, 45, day=1))),
    ),
    "two tasks with one hand": ("overlap", lambda s: moved_to(
        changed(s, "glue two", hand="Ada"), "glue two", "rip")),
    "clamps used twice": ("overlap", lambda s: changed(
        moved_to(s, "glue two", "glue"), "glue two", hand="Ada")),
    "lateness talked down": ("measure", lambda s: replace(
        s, objective=replace(s.objective, weighted_lateness_min=1.0))),
    "the makespan talked down": ("measure", lambda s: replace(
        s, objective=replace(s.objective, makespan_min=1.0))),
    "a late order kept quiet": ("measure", lambda s: replace(
        s, objective=replace(s.objective, late_orders=()))),
}  # fmt: skip


def test_a_good_plan_passes(full: tuple[Problem, Schedule]) -> None:
    assert check(*full) == ()


@pytest.mark.parametrize("name", MUTATIONS)
def test_a_spoilt_plan_is_caught(name: str, full: tuple[Problem, Schedule]) -> None:
    kind, spoil = MUTATIONS[name]
    problem, schedule = full
    found = check(problem, spoil(schedule))
    assert kind in {violation.kind for violation in found}
    assert all(violation.message.endswith(".") for violation in found)


def test_work_before_what_is_under_way_is_caught(full: tuple[Problem, Schedule]) -> None:
    problem, schedule = full
    later = changed(shifted(schedule, "rip", 30 * HOUR), "mortise", hand="Ada")
    assert "under way" in {violation.kind for violation in check(problem, later)}


def test_a_plan_beyond_its_horizon_is_caught(full: tuple[Problem, Schedule]) -> None:
    problem, schedule = full
    assert {v.kind for v in check(replace(problem, horizon=at(12)), schedule)} == {"horizon"}


def test_the_checker_shares_no_code_with_the_planner() -> None:
    tree = ast.parse(inspect.getsource(module))
    imported = {n.module for n in ast.walk(tree) if isinstance(n, ast.ImportFrom)}
    ours = {name for name in imported if name and name.startswith(("shop", "orders", "costing"))}
    assert ours == {
        "shop.core.calendar",
        "shop.core.plan.problem",
        "shop.core.plan.schedule",
    }
    assert ".openings(" not in inspect.getsource(module)
