"""What cannot be planned, said in a sentence before anything is tried."""

from collections.abc import Hashable, Iterator
from datetime import UTC, datetime

from orders.core.errors import RuleBroken, RulesBroken
from shop.core.calendar import HORIZON, no_working_hour
from shop.core.plan.circle import circle_in
from shop.core.plan.floor import hands_for, stations_for
from shop.core.plan.prices import DEAREST, DEAREST_MOVE, Measure
from shop.core.plan.problem import Away, Problem, Resource, Task

MOST_TASKS = 10_000
MOST_HANDS = 4
LONGEST_MIN = 365 * 24 * 60.0
MOST_DAYS_AWAY = 365
LONGEST_TICK_MIN = 60
MOST_SPREAD = 2.0
MOST_FAULTS = 20


def horizon_of(problem: Problem) -> datetime:
    """The instant after which nothing is planned, in UTC."""
    return (problem.horizon or problem.now + HORIZON).astimezone(UTC)


def require_sound(problem: Problem) -> None:
    """Raises RuleBroken, or RulesBroken for several faults, when the problem cannot be planned."""
    for faults in (_frame(problem), _resources(problem), _tasks(problem), _deep(problem)):
        found = [fault for fault, _ in zip(faults, range(MOST_FAULTS), strict=False)]
        if len(found) == 1:
            raise found[0]
        if found:
            raise RulesBroken(found)


def _frame(problem: Problem) -> Iterator[RuleBroken]:
    if len(problem.tasks) > MOST_TASKS:
        yield RuleBroken(
            "tasks",
            f"{len(problem.tasks):,} operations are too many to plan at once; "
            f"plan at most {MOST_TASKS:,}, for example by leaving out later orders.",
            nearest=MOST_TASKS,
        )
    if not 1 <= problem.tick_min <= LONGEST_TICK_MIN:
        yield RuleBroken(
            "tick_min", f"A step of the plan is 1 to {LONGEST_TICK_MIN} whole minutes.", nearest=1
        )
    if not 0 <= problem.move_price <= DEAREST_MOVE:
        yield RuleBroken(
            "move_price", f"What a move counts is from 0 to {DEAREST_MOVE:,.0f} minutes."
        )
    for measure in Measure:
        if not 0 <= problem.prices.of(measure) <= DEAREST:
            yield RuleBroken(
                f"prices/{measure.value}", f"A price is from 0 to {DEAREST:,.0f} minutes."
            )
    for field, at in [("now", problem.now), ("horizon", problem.horizon)]:
        yield from _zoned(field, at)
    if problem.horizon is not None and _is_zoned(problem.now) and _is_zoned(problem.horizon):
        if problem.horizon <= problem.now:
            yield RuleBroken("horizon", "The plan must end after it starts.")
        elif problem.horizon > problem.now + 5 * HORIZON:
            yield RuleBroken("horizon", "A plan reaches ten years ahead at most.")
    for i, order in enumerate(problem.orders):
        yield from _zoned(f"orders/{i}/due", order.due)
        if not 0 <= order.weight <= 1e6:
            yield RuleBroken(
                f"orders/{i}/weight",
                f"The weight of order “{order.label or order.key}” must be from 0 to 1,000,000.",
            )
    for field, keys in [
        ("tasks", [task.key for task in problem.tasks]),
        ("resources", [resource.key for resource in problem.resources]),
        ("orders", [order.key for order in problem.orders]),
    ]:
        seen: set[str] = set()
        for i, key in enumerate(keys):
            if key in seen:
                yield RuleBroken(
                    f"{field}/{i}/key", f"The key “{key}” is used twice; keys must differ."
                )
            seen.add(key)


def _resources(problem: Problem) -> Iterator[RuleBroken]:
    used: set[str] = set()
    for i, resource in enumerate(problem.resources):
        name = resource.label or resource.key
        if resource.capacity < 1:
            yield RuleBroken(
                f"resources/{i}/capacity", f"“{name}” must take at least one task.", nearest=1
            )
        if resource.kind == "hand" and resource.capacity != 1:
            yield RuleBroken(
                f"resources/{i}/capacity",
                f"“{name}” is one person; give a capacity of 1.",
                nearest=1,
            )
        if resource.kind == "gear":
            continue
        if resource.calendar not in problem.calendars:
            yield RuleBroken(
                f"resources/{i}/calendar",
                f"“{name}” follows the calendar “{resource.calendar}”, which is not there.",
            )
        used.add(resource.calendar)
        if resource.overtime and resource.overtime not in problem.calendars:
            yield RuleBroken(
                f"resources/{i}/overtime",
                f"“{name}” may be offered the hours “{resource.overtime}”, which are not there.",
            )
    used |= {key for t in problem.tasks if t.away for key in (t.away.out, t.away.back)}
    for key in sorted(used & problem.calendars.keys()):
        try:
            problem.calendars[key].require_hours(problem.now, horizon_of(problem))
        except RuleBroken:
            fault = no_working_hour(problem.now, horizon_of(problem))
            yield RuleBroken(
                f"calendars/{key}",
                fault.message.replace("The calendar", f"The calendar “{key}”", 1),
            )


def _tasks(problem: Problem) -> Iterator[RuleBroken]:
    tasks = {task.key for task in problem.tasks}
    orders = {order.key for order in problem.orders}
    kinds = {resource.key: resource for resource in problem.resources}
    for i, task in enumerate(problem.tasks):
        for fault in _one_task(task, problem, tasks, orders, kinds):
            yield fault.under(f"tasks/{i}")


def _one_task(
    task: Task,
    problem: Problem,
    tasks: set[str],
    orders: set[str],
    resources: dict[str, Resource],
) -> Iterator[RuleBroken]:
    name = f"“{task.name}”"
    if not 0 < task.minutes <= LONGEST_MIN:
        yield RuleBroken(
            "minutes",
            f"{name} takes {task.minutes:,.10g} minutes; give it more than 0 minutes "
            "and at most a year, or split it.",
        )
    for key, minutes in task.minutes_on.items():
        if not 0 < minutes <= LONGEST_MIN:
            yield RuleBroken(
                "minutes_on",
                f"{name} takes {minutes:,.10g} minutes on “{key}”; give it more than 0 minutes "
                "and at most a year.",
            )
    for field, minutes in [
        ("setup_min", task.setup_min),
        ("lag_min", task.lag_min),
        ("gear_hold_min", task.gear_hold_min),
        *(("setup_after", minutes) for minutes in task.setup_after.values()),
    ]:
        if not 0 <= minutes <= LONGEST_MIN:
            yield RuleBroken(field, f"{name} needs 0 minutes to a year here, not {minutes:,.10g}.")
    if task.setup_after and not task.family:
        yield RuleBroken(
            "family", f"The set-up of {name} depends on what came before; give it a family too."
        )
    if task.away is not None:
        yield from _away(task, task.away, problem)
    if not 0 < task.batch_share <= 1:
        yield RuleBroken(
            "batch_share",
            f"A batch of {name} is more than nothing of it and at most all.",
            nearest=1,
        )
    if not 0 <= task.spread <= MOST_SPREAD:
        yield RuleBroken(
            "spread", f"The spread of {name} is from 0 to {MOST_SPREAD:g}.", nearest=MOST_SPREAD
        )
    if not 0 <= task.done_share < 1:
        yield RuleBroken(
            "done_share",
            f"The share of {name} that is done is at least 0 and below 1; leave finished work out.",
        )
    elif task.done_share > 0 and not task.under_way:
        yield RuleBroken("done_share", f"{name} is partly done, so mark it as under way.")
    if not 1 <= task.hand_count <= MOST_HANDS:
        yield RuleBroken(
            "hand_count",
            f"{name} asks for {task.hand_count} hands at once; give it 1 to {MOST_HANDS}.",
            nearest=min(max(task.hand_count, 1), MOST_HANDS),
        )
    told = task.told.start if task.told is not None else None
    for field, at in [
        ("release", task.release),
        ("pinned_start", task.pinned_start),
        ("told/start", told),
    ]:
        yield from _zoned(field, at)
    yield from _unknown("after", name, [k for k in task.after if k not in tasks], "operation")
    yield from _unknown(
        "order", name, [task.order] if task.order and task.order not in orders else [], "order"
    )
    for field, keys, kind in [
        (
            "stations",
            [*task.stations, *task.minutes_on, *_given(task.pinned_station)],
            "station",
        ),
        ("hands", [*task.hands, *_given(task.pinned_hand)], "hand"),
        ("gear", list(task.gear), "gear"),
    ]:
        missing = [k for k in keys if k not in resources or resources[k].kind != kind]
        yield from _unknown(field, name, missing, kind)
    for key, count in task.gear.items():
        if count < 1:
            yield RuleBroken("gear", f"{name} needs at least one of “{key}”, or none at all.")
        elif key in resources and count > resources[key].capacity:
            yield RuleBroken(
                "gear",
                f"{name} needs {count} of “{resources[key].label or key}”, but the shop has "
                f"{resources[key].capacity}.",
                nearest=resources[key].capacity,
            )
    if task.pinned_start is not None and _is_zoned(task.pinned_start):
        if task.under_way:
            yield RuleBroken(
                "pinned_start", f"{name} is under way, so it cannot be pinned to a time."
            )
        elif task.pinned_start < problem.now:
            yield RuleBroken(
                "pinned_start",
                f"{name} is pinned to {task.pinned_start:%Y-%m-%d %H:%M}, which is in the past; "
                "pin it to a later time or take the pin out.",
            )


def _away(task: Task, away: Away, problem: Problem) -> Iterator[RuleBroken]:
    name = f"“{task.name}”"
    if not 0 <= away.days <= MOST_DAYS_AWAY:
        yield RuleBroken(
            "away/days", f"{name} is away for 0 to {MOST_DAYS_AWAY} days, not {away.days}."
        )
    for field, key in [("out", away.out), ("back", away.back)]:
        if key not in problem.calendars:
            yield from _unknown(f"away/{field}", name, [key], "calendar")
    has_work = task.stations or task.station_kind or task.hands or task.skills or task.gear
    has_time = task.setup_min or task.spread or task.batch_share != 1 or task.pinned_start
    if has_work or has_time or task.under_way:
        yield RuleBroken(
            "away",
            f"{name} is away, so nobody works at it here: give it no station, hand, skill, gear, "
            "set-up, spread, batch or pin, and do not mark it as under way.",
        )


def _deep(problem: Problem) -> Iterator[RuleBroken]:
    """Faults that can only be seen once every key leads somewhere."""
    circle = circle_in(problem)
    if circle:
        path = " → ".join(f"“{task.name}”" for task in [*circle, circle[0]])
        yield RuleBroken(
            "tasks",
            f"These operations wait for one another in a circle: {path}. Take one link out.",
        )
    met = set()
    for i, task in enumerate(problem.tasks):
        if (wants := _wants(task)) in met:
            continue
        faults = [*_nobody(task, problem.resources)]
        yield from (fault.under(f"tasks/{i}") for fault in faults)
        if not faults:
            met.add(wants)
    yield from _pins_past_the_end(problem)


def _wants(task: Task) -> Hashable:
    """Whom and what a task asks for: where one finds it, so does another."""
    return (
        (task.hands, task.hand_count, frozenset(task.skills.items()), task.pinned_hand),
        (task.stations, task.station_kind, task.pinned_station),
    )


def _nobody(task: Task, resources: tuple[Resource, ...]) -> Iterator[RuleBroken]:
    name = f"“{task.name}”"
    for skill, level in task.skills.items():
        best = max((r.skills.get(skill, 0) for r in resources if r.kind == "hand"), default=0)
        if best < level:
            known = f"the best level in the shop is {best}" if best else "nobody has it"
            yield RuleBroken(
                "skills",
                f"{name} asks for the skill “{skill}” at level {level}, but {known}; "
                "teach it, ask for less, or send the work out.",
            )
            return
    able = hands_for(task, resources)
    wants_hands = bool(task.hands or task.skills)
    if wants_hands and len(able) < task.hand_count:
        yield RuleBroken(
            "hands",
            f"{name} needs {task.hand_count} of the hands that may do it, but only {len(able)} "
            "have what it asks for; allow more hands or ask for less skill.",
        )
    elif task.pinned_hand is not None and task.pinned_hand not in {r.key for r in able}:
        yield RuleBroken(
            "pinned_hand",
            f"{name} is pinned to “{_label(resources, task.pinned_hand)}”, who is not among those that can do it; "
            "pin it to another hand.",
        )
    wants_station = bool(task.stations or task.station_kind)
    if task.pinned_station is not None and not stations_for(task, resources):
        yield RuleBroken(
            "pinned_station",
            f"{name} is pinned to “{_label(resources, task.pinned_station)}”, which is not among the stations that "
            "can do it; pin it to another station.",
        )
    elif wants_station and not stations_for(task, resources):
        yield RuleBroken(
            "stations",
            f"{name} needs a station of the kind “{task.station_kind}”, but there is none; "
            "name the stations that can do it.",
        )


def _pins_past_the_end(problem: Problem) -> Iterator[RuleBroken]:
    end = horizon_of(problem)
    for i, task in enumerate(problem.tasks):
        for field, at in [("pinned_start", task.pinned_start), ("release", task.release)]:
            if at is not None and at >= end:
                yield RuleBroken(
                    f"tasks/{i}/{field}",
                    f"“{task.name}” is wanted from {at:%Y-%m-%d}, after the plan ends on "
                    f"{end:%Y-%m-%d}; plan further ahead or leave it out.",
                )


def _unknown(field: str, name: str, keys: list[str], kind: str) -> Iterator[RuleBroken]:
    for key in keys[:1]:
        yield RuleBroken(field, f"{name} names the {kind} “{key}”, which is not there.")


def _label(resources: tuple[Resource, ...], key: str) -> str:
    return next((r.label or key for r in resources if r.key == key), key)


def _given(key: str | None) -> list[str]:
    return [] if key is None else [key]


def _is_zoned(at: datetime) -> bool:
    return at.tzinfo is not None


def _zoned(field: str, at: datetime | None) -> Iterator[RuleBroken]:
    if at is not None and not _is_zoned(at):
        yield RuleBroken(field, f"The time {at:%Y-%m-%d %H:%M} needs a time zone.")
