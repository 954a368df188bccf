"""What cannot be planned is refused in a sentence that says what to change."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, time, timedelta

import pytest

from orders.core.errors import RuleBroken, RulesBroken
from shop.core.calendar import Calendar, Closure, weekdays
from shop.core.plan.check import check
from shop.core.plan.planner import plan
from shop.core.plan.problem import Order, Problem, Task
from shop.core.plan.schedule import Budget
from tests.shop.core.plan.shops import (
    DAY_SHIFT,
    NOW,
    a_hand,
    a_joinery_shop,
    a_problem,
    a_station,
    at,
    gear,
)

SHOP = [a_station("saw"), a_hand("Ada", skills={"joinery": 2}), gear("clamps", 4)]


def saw(key: str = "rip", **changes: object) -> Task:
    return Task(**{"key": key, "minutes": 30, "stations": ("saw",), "hands": ("Ada",), **changes})  # type: ignore[arg-type]


def shop(*tasks: Task, orders: tuple[Order, ...] = ()) -> Problem:
    return a_problem(SHOP, tasks, orders)


def away(calendar: Calendar, *tasks: Task) -> Problem:
    return replace(shop(*tasks), calendars={"day": calendar})


LEAVE = replace(DAY_SHIFT, closures=(Closure(start=at(0), end=at(0, day=3), reason="leave"),))


REFUSED: dict[str, tuple[Callable[[], Problem], str, str]] = {
    "a circle": (
        lambda: shop(saw("a", after=("c",)), saw("b", after=("a",)), saw("c", after=("b",)),
                     saw("d")),
        "tasks", "wait for one another in a circle: “a” → “c” → “b” → “a”. Take one link out.",
    ),
    "a task that waits for itself": (
        lambda: shop(saw("a", after=("a",))), "tasks", "in a circle: “a” → “a”",
    ),
    "no duration": (lambda: shop(saw(minutes=0)), "tasks/0/minutes", "takes 0 minutes; give it"),
    "a negative duration": (
        lambda: shop(saw(minutes=-5)), "tasks/0/minutes", "more than 0 minutes",
    ),
    "a duration that is no number": (
        lambda: shop(saw(minutes=float("nan"))), "tasks/0/minutes", "more than 0 minutes",
    ),
    "a duration above a year": (
        lambda: shop(saw(minutes=50_457_600)), "tasks/0/minutes",
        "takes 50,457,600 minutes; give it more than 0 minutes and at most a year, or split it",
    ),
    "a duration of a whole year": (
        lambda: shop(saw(minutes=525_600)), "horizon", "finds no room before 2028-01-05; plan",
    ),
    "a negative set-up": (lambda: shop(saw(setup_min=-1)), "tasks/0/setup_min", "0 minutes to"),
    "a negative lag": (lambda: shop(saw(lag_min=-1)), "tasks/0/lag_min", "0 minutes to a year"),
    "finished work": (
        lambda: shop(saw(done_share=1.0, under_way=True)), "tasks/0/done_share", "leave finished",
    ),
    "a share done of work not begun": (
        lambda: shop(saw(done_share=0.5)), "tasks/0/done_share", "mark it as under way",
    ),
    "no hand counted": (lambda: shop(saw(hand_count=0)), "tasks/0/hand_count", "give it 1 to 4"),
    "an unknown predecessor": (
        lambda: shop(saw(after=("plane",))), "tasks/0/after", "names the operation “plane”",
    ),
    "an unknown order": (lambda: shop(saw(order="x")), "tasks/0/order", "the order “x”"),
    "an unknown station": (
        lambda: shop(saw(stations=("lathe",))), "tasks/0/stations", "the station “lathe”",
    ),
    "a hand named as a station": (
        lambda: shop(saw(stations=("Ada",))), "tasks/0/stations", "the station “Ada”",
    ),
    "an unknown hand": (lambda: shop(saw(hands=("Bo",))), "tasks/0/hands", "the hand “Bo”"),
    "unknown gear": (lambda: shop(saw(gear={"jig": 1})), "tasks/0/gear", "the gear “jig”"),
    "too much gear": (
        lambda: shop(saw(gear={"clamps": 5})), "tasks/0/gear", "needs 5 of “clamps”, but the shop",
    ),
    "a station with no minutes": (
        lambda: shop(saw(minutes_on={"saw": 0})), "tasks/0/minutes_on", "takes 0 minutes on “saw”",
    ),
    "no gear counted": (lambda: shop(saw(gear={"clamps": 0})), "tasks/0/gear", "at least one of"),
    "a skill nobody has": (
        lambda: shop(saw(hands=(), skills={"carving": 1})), "tasks/0/skills",
        "asks for the skill “carving” at level 1, but nobody has it",
    ),
    "a level nobody has": (
        lambda: shop(saw(hands=(), skills={"joinery": 3})), "tasks/0/skills",
        "the best level in the shop is 2",
    ),
    "too few hands for a team": (
        lambda: shop(saw(hand_count=2)), "tasks/0/hands", "needs 2 of the hands that may do it",
    ),
    "no station of the kind": (
        lambda: shop(saw(stations=(), station_kind="lathe")), "tasks/0/stations",
        "needs a station of the kind “lathe”, but there is none",
    ),
    "a pin on another station": (
        lambda: shop(saw(stations=(), hands=("Ada",), pinned_station="saw")),
        "tasks/0/pinned_station", "is not among the stations that can do it",
    ),
    "a pin on a hand that may not": (
        lambda: shop(saw(hands=(), pinned_hand="Ada")), "tasks/0/pinned_hand",
        "who is not among those that can do it",
    ),
    "a pin in the past": (
        lambda: shop(saw(pinned_start=at(6))), "tasks/0/pinned_start",
        "pinned to 2026-01-05 06:00, which is in the past",
    ),
    "a pin on a closed time": (
        lambda: shop(saw(pinned_start=at(12, 45))), "tasks/0/pinned_start",
        "when it cannot run because its station or hand is closed",
    ),
    "a pin on leave": (
        lambda: away(LEAVE, saw(pinned_start=at(9))),
        "tasks/0/pinned_start", "pin it to a working time",
    ),
    "a pin before the timber is there": (
        lambda: shop(saw(release=at(0, day=2), pinned_start=at(9))), "tasks/0/pinned_start",
        "is pinned to 2026-01-05 09:00, before it may begin on 2026-01-07 00:00; pin it later. "
        "It cannot all hold that “rip” does not begin before 2026-01-07 00:00; “rip” begins at",
    ),
    "a pin on work under way": (
        lambda: shop(saw(under_way=True, pinned_start=at(9))), "tasks/0/pinned_start",
        "is under way, so it cannot be pinned",
    ),
    "two pins on one place": (
        lambda: shop(saw("a", pinned_start=at(9)), saw("b", pinned_start=at(9, 10))),
        "tasks/1/pinned_start", "is taken then by other pinned work or work under way",
    ),
    "a pin that comes too soon": (
        lambda: shop(saw("a", minutes=120), saw("b", after=("a",), pinned_start=at(9))),
        "tasks/1/pinned_start", "but “a” before it cannot be done by then",
    ),
    "a pin beyond the plan": (
        lambda: replace(shop(saw(pinned_start=at(9, day=9))), horizon=at(0, day=5)),
        "tasks/0/pinned_start", "after the plan ends on 2026-01-10",
    ),
    "a calendar without hours": (
        lambda: away(Calendar(timezone="UTC"), saw()), "calendars/day",
        "The calendar “day” has no working hour between 2026-01-05 and 2028-01-05",
    ),
    "a calendar that is not there": (
        lambda: replace(shop(saw()), calendars={}), "resources/",
        "follows the calendar “day”, which is not there",
    ),
    "hours that never meet": (
        lambda: a_problem([a_station("saw", calendar="night"), a_hand("Ada")], [saw()],
                          calendars={"night": weekdays("UTC", (time(20), time(23)))}),
        "tasks/0/hands", "are never at work at the same time",
    ),
    "a glue-up longer than any opening": (
        lambda: shop(saw(minutes=300, breakable=False)), "tasks/0/breakable",
        "takes 300 minutes without a pause, but the longest opening is 240 minutes",
    ),
    "no room before the horizon": (
        lambda: replace(shop(saw(minutes=3000)), horizon=at(17, day=1)), "horizon",
        "finds no room before 2026-01-06",
    ),
    "a horizon in the past": (
        lambda: replace(shop(saw()), horizon=at(6)), "horizon", "must end after it starts",
    ),
    "a key used twice": (lambda: shop(saw("a"), saw("a")), "tasks/1/key", "is used twice"),
    "too many tasks": (
        lambda: shop(*(saw(str(i)) for i in range(10_001))), "tasks",
        "10,001 operations are too many to plan at once; plan at most 10,000",
    ),
    "a time without a zone": (
        lambda: replace(shop(saw()), now=datetime(2026, 1, 5)),  # noqa: DTZ001
        "now", "needs a time zone",
    ),
    "a negative weight": (
        lambda: shop(saw(), orders=(Order(key="o", weight=-1),)), "orders/0/weight", "from 0 to",
    ),
    "a step of no length": (lambda: replace(shop(saw()), tick_min=0), "tick_min", "1 to 60"),
    "a hand that is two": (
        lambda: a_problem([a_hand("Ada", capacity=2)], []), "resources/0/capacity", "one person",
    ),
    "a station that takes nothing": (
        lambda: a_problem([a_station("saw", capacity=0)], []), "resources/0/capacity", "at least",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_it_is_refused_in_a_sentence(name: str) -> None:
    build, field, sentence = REFUSED[name]
    with pytest.raises((RuleBroken, RulesBroken)) as caught:
        plan(build())
    error = caught.value
    first = error.errors[0] if isinstance(error, RulesBroken) else error
    assert isinstance(first, RuleBroken)
    assert first.field.startswith(field)
    assert sentence in first.message
    assert first.message.endswith(".")


def test_several_faults_are_told_together() -> None:
    with pytest.raises(RulesBroken) as caught:
        plan(shop(saw("a", minutes=0), saw("b", order="x")))
    assert [fault.field for fault in caught.value.errors] == ["tasks/0/minutes", "tasks/1/order"]


def test_ten_thousand_faults_are_not_all_told() -> None:
    with pytest.raises(RulesBroken) as caught:
        plan(shop(*(saw(str(i), minutes=0) for i in range(500))))
    assert len(caught.value.errors) == 20


def test_ten_thousand_operations_are_planned() -> None:
    big = a_joinery_shop(0, 340)
    problem = replace(big, tasks=big.tasks[:10_000])
    schedule = plan(problem, budget=Budget(evaluations=1))
    assert len(schedule.bookings) == 10_000
    assert check(problem, schedule) == ()


def test_nothing_to_do_is_a_plan() -> None:
    schedule = plan(shop())
    assert schedule.bookings == ()
    assert schedule.proved


def test_a_release_in_the_past_means_now() -> None:
    schedule = plan(shop(saw(release=NOW - timedelta(days=400))))
    assert schedule.bookings[0].start == at(8)
