"""A plan mended after an event: nothing is moved that can stay, and nothing is made worse."""

from dataclasses import replace
from datetime import datetime, timedelta
from functools import cache
from random import Random

import pytest

from shop.core.plan.again import put_again
from shop.core.plan.check import check
from shop.core.plan.floor import lay_out
from shop.core.plan.measure import bookings_of, objective_of, rank_of
from shop.core.plan.planner import plan
from shop.core.plan.problem import Goal, Order, Problem, Task, Told
from shop.core.plan.schedule import Booking, Budget
from tests.shop.core.plan.events import EVENTS, HAPPENS, as_of, hand_ill
from tests.shop.core.plan.shops import NOW, a_hand, a_joinery_shop, a_problem, at

FIRST = Budget(evaluations=1, seconds=1)
QUICK = Budget(evaluations=40, seconds=2)
"""So few seconds that the rules are left out; the clock of the tests stands still."""


def still() -> float:
    return 0.0


@cache
def at_work(seed: int, price: float = 120.0) -> tuple[Problem, dict[str, Booking]]:
    """A shop in its third day without set-ups, and what is left of its plan."""
    shop = a_joinery_shop(seed, 7, people=3)
    tasks = tuple(replace(task, setup_min=0.0) for task in shop.tasks)
    shop = replace(shop, tasks=tasks)
    old = plan(shop, budget=Budget(evaluations=40), clock=still)
    today, known = as_of(shop, {b.task: b for b in old.bookings}, HAPPENS)
    return replace(today, move_price=price), dict(known)


def happened(seed: int, name: str, price: float = 120.0) -> tuple[Problem, dict[str, Booking]]:
    today, known = at_work(seed, price)
    return EVENTS[name](today, known, Random(seed)), known


def followers(problem: Problem, keys: set[str]) -> set[str]:
    """The tasks, and all that waits for them, near or far."""
    found = set(keys)
    for task in problem.tasks:
        if found & set(task.after):
            found.add(task.key)
    return found


@pytest.mark.parametrize("seed", range(3))
def test_where_nothing_happened_the_plan_goes_on_as_it_was(seed: int) -> None:
    today, known = at_work(seed)
    again = plan(today, budget=FIRST, known=known, clock=still)
    assert again.objective.moved == ()
    ends = {b.task: b.end for b in again.bookings}
    assert all(ends[key] <= booking.end for key, booking in known.items())


@pytest.mark.parametrize("name", EVENTS)
def test_a_mended_plan_breaks_no_rule_and_is_never_worse_than_the_plan_that_was_kept(
    name: str,
) -> None:
    problem, known = happened(1, name)
    found = plan(problem, budget=QUICK, known=known, clock=still)
    assert check(problem, found) == ()
    floor = lay_out(problem, problem.now + timedelta(days=200))
    for keeps_staff in (True, False):
        kept = put_again(problem, floor, known, keeps_staff=keeps_staff)
        assert kept is not None
        worth = objective_of(problem, bookings_of(problem, floor, kept)).main(problem.goal)
        assert found.objective.main(problem.goal) <= worth + 1e-6


@pytest.mark.parametrize("seed", range(3))
def test_who_falls_ill_moves_only_their_own_work_and_what_waits_for_it(seed: int) -> None:
    today, known = at_work(seed, 1e6)
    problem = hand_ill(today, known, Random(f"{seed}"))
    (ill,) = [r.key for r in problem.resources if r.calendar == "gone"]
    found = plan(problem, budget=FIRST, known=known, clock=still)
    theirs = {key for key, booking in known.items() if ill in booking.hands}
    assert set(found.objective.moved) <= followers(problem, theirs)


def test_only_what_has_lost_its_place_is_moved() -> None:
    """Ada's first job lasts longer: the second gives way, and not the third behind it."""

    def told(hour: int) -> Told:
        return Told(start=at(hour), hands=("Ada",))

    tasks = [
        Task(key="first", minutes=180, hands=("Ada",), told=told(8)),
        Task(key="second", minutes=60, hands=("Ada",), told=told(10)),
        Task(key="third", minutes=60, hands=("Ada",), told=told(13)),
    ]
    problem = replace(a_problem([a_hand("Ada")], tasks), move_price=60.0)
    known = {t.key: a_booking(t) for t in tasks}
    found = plan(problem, budget=FIRST, known=known, clock=still)
    assert found.objective.moved == ("second",)


def test_what_is_new_before_known_work_goes_where_that_stood() -> None:
    """A part sawn again is not left for the end of the day, with all that waits for it."""
    ada = a_hand("Ada")
    tasks = [
        Task(key="again", minutes=30, hands=("Ada",), order="urgent"),
        Task(key="fit", minutes=30, hands=("Ada",), after=("again",), order="urgent"),
        Task(key="other", minutes=240, hands=("Ada",)),
    ]
    problem = a_problem([ada], tasks, [Order(key="urgent", due=at(9, 30))])
    known = {"fit": a_booking(tasks[1], at(8)), "other": a_booking(tasks[2], at(8, 30))}
    floor = lay_out(problem, problem.now + timedelta(days=9))
    kept = put_again(problem, floor, known)
    assert kept is not None
    assert rank_of(floor, Goal.LATENESS, kept)[0] == 0


@pytest.mark.parametrize("name", ["hand ill", "machine down"])
def test_the_same_tries_mend_a_plan_in_the_same_way(name: str) -> None:
    problem, known = happened(2, name)
    first, second = (plan(problem, budget=QUICK, known=known, clock=still) for _ in range(2))
    assert first == second


@pytest.mark.parametrize("name", ["hand ill", "rush order"])
def test_a_plan_is_mended_alike_compiled_and_plain(name: str) -> None:
    problem, known = happened(0, name)
    plain, compiled = (
        plan(problem, budget=QUICK, known=known, clock=still, is_compiled=fast)
        for fast in (False, True)
    )
    assert plain == compiled


def a_booking(task: Task, start: datetime | None = None) -> Booking:
    begins = start if start is not None else (task.told.start if task.told else NOW)
    ends = begins + timedelta(minutes=task.minutes)
    return Booking(
        task=task.key,
        hand="Ada",
        start=begins,
        end=ends,
        pieces=((begins, ends),),
    )
