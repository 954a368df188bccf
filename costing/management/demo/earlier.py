"""The nine months before the demo's story: orders that were sold, made and paid.

They go through the same services as all others up to their release; what the hands then did is
written as rows, hour by hour within their calendars, so that it takes seconds.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from random import Random
from typing import Any

from django.db.models import F

from costing.management.demo import selling
from costing.management.demo.figures import order_file, rows
from costing.management.demo.pace import Pace
from costing.management.demo.stores import Stores
from costing.management.demo.working_days import WorkingDays
from costing.models import Quote
from costing.services.quotes import draft_quote
from orders.core.stages import Stage
from orders.models import Commission, Joint, Operation
from orders.models.commission import StageMove
from orders.services.orderfile import import_order
from orders.services.release import release
from shop.core.calendar import Opening
from shop.models import Clocking, Hand, User, Workshop
from shop.services.weeks import Weeks

SEED = 1888
FIRST_RELEASE, LAST_RELEASE = -192, -26
LAST_DAY = -16
EVERY = 4
"""A new order goes to the bench every so many working days."""

SLIDING_TABLE = -70
SLOW_TENONS = 1.75
"""Tenons took so much longer before the tenoner got its sliding table: a change to be noticed."""

FILES = (
    ("mirror-frames", (2, 4, 6)),
    ("garden-gate", (1, 2)),
    ("frame-and-panel-doors", (4, 6, 8, 10)),
    ("blanket-chest", (1, 2, 3)),
    ("refectory-tables", (1, 2)),
    ("drawers", (4, 8)),
    ("oak-hall-benches", (1, 2, 3)),
    ("bookcases", (1, 2)),
)
"""Which work, and how many may be asked for."""

OTHER_WOOD = {"ash-white": "oak-white", "oak-white": "ash-white"}
"""What a client may have instead, where the rack has both."""

SWAPPED_IN = frozenset({"oak-hall-benches", "frame-and-panel-doors"})


@dataclass(slots=True)
class Bench:
    """A hand with the hours still free."""

    number: int
    hand: Hand
    skills: frozenset[str]
    free: list[Opening]

    def spend(self, minutes: float, after: datetime) -> Iterator[tuple[datetime, datetime]]:
        """Take the next free minutes after an instant, in stretches, out of the free hours."""
        left = timedelta(minutes=round(minutes))
        while left:
            opening = self.free[0]
            start = max(opening.start, after)
            end = min(opening.end, start + left)
            if start >= opening.end:
                self.free.pop(0)
                continue
            yield start, end
            left -= end - start
            if end == opening.end:
                self.free.pop(0)
            else:
                self.free[0] = Opening(start=end, end=opening.end)


def live(shop: Workshop, days: WorkingDays, *, by: User, foreman: User) -> None:
    """Let the nine months happen; the hands are free again when the story begins."""
    random, pace, stores = Random(SEED), Pace(SEED), Stores(SEED)
    benches = list(_benches(shop, days))
    clockings: list[Clocking] = []
    for number, day in enumerate(range(FIRST_RELEASE, LAST_RELEASE, EVERY)):
        file, counts = FILES[number % len(FILES)]
        document = dict(_document(file, random.choice(counts), random))
        order = _sold(shop, document, day, days, by=by)
        operations = release(order, by=foreman)
        selling.date_move(order, days.at(day, 7, 10))
        stores.issue(order, days.day(day), by=foreman)
        clockings += _made(operations, benches, pace, days, day)
        _delivered(order, operations, days, by=foreman)
    Clocking.objects.bulk_create(clockings)


def _benches(shop: Workshop, days: WorkingDays) -> Iterator[Bench]:
    """The hands, with their hours until the story begins."""
    start, end = days.at(FIRST_RELEASE, 7, 30), days.at(LAST_DAY, 23)
    weeks = Weeks.of(shop, start)
    hands = Hand.objects.of(shop).prefetch_related("skills").order_by("pk")
    for number, hand in enumerate(hands):
        skills = frozenset(skill.skill for skill in hand.skills.all())
        yield Bench(number, hand, skills, list(weeks.calendar_of(hand).openings(start, end)))


def _document(file: str, count: int, random: Random) -> Iterator[tuple[str, Any]]:
    """The order file of another client: so many of it, perhaps in another wood."""
    document = order_file(file)
    first = document["assemblies"][0]
    first["quantity"] = count
    if file in SWAPPED_IN and random.random() < 0.5:
        for assembly in document["assemblies"]:
            for part in assembly["parts"]:
                part["species"] = OTHER_WOOD.get(part["species"], part["species"])
    yield from document.items()
    yield "title", f"{first['name'].capitalize()}, {count}"
    yield "client", {"name": random.choice(rows("earlier_clients"))["name"]}


def _sold(
    shop: Workshop, document: dict[str, Any], day: int, days: WorkingDays, *, by: User
) -> Commission:
    """Quoted and accepted before its release; its paper is printed when somebody asks for it."""
    document["due_on"] = days.day(day + 15).isoformat()
    order = import_order(shop, document, by=by)
    quoted, accepted = days.at(day - 12, 16), days.at(day - 5, 10)
    quote = draft_quote(order, by=by, on=quoted.date())
    Quote.objects.filter(pk=quote.pk).update(
        state=Quote.State.ACCEPTED,
        issued_at=quoted,
        issued_by=by,
        decided_at=accepted,
        decided_by=order.client.name,
    )
    Commission.objects.filter(pk=order.pk).update(
        stage=Stage.ACCEPTED, created_at=days.at(day - 16, 11)
    )
    StageMove.objects.bulk_create(
        StageMove(commission=order, from_stage=before, to_stage=after, at=at, by=by)
        for before, after, at in (
            (Stage.ENQUIRY, Stage.QUOTED, quoted),
            (Stage.QUOTED, Stage.ACCEPTED, accepted),
        )
    )
    order.refresh_from_db()
    return order


def _made(
    operations: Sequence[Operation],
    benches: Sequence[Bench],
    pace: Pace,
    days: WorkingDays,
    day: int,
) -> Iterator[Clocking]:
    """Each operation in turn, by the hand who is free first."""
    joints = Joint.objects.in_bulk({one.joint_id for one in operations if one.joint_id})
    at = days.at(day, 7, 30)
    table_came = days.at(SLIDING_TABLE, 7)
    for operation in operations:
        operation.joint = joints.get(operation.joint_id or 0)
        able = [bench for bench in benches if operation.skill in bench.skills]
        bench = min(able, key=lambda one: (max(at, one.free[0].start), one.number))
        minutes = pace.minutes(operation, bench.number)
        if operation.code == "cut-tenon" and at < table_came:
            minutes *= SLOW_TENONS
        stretches = list(bench.spend(minutes, at))
        for place, (start, end) in enumerate(stretches, start=1):
            is_last = place == len(stretches)
            yield Clocking(
                operation=operation,
                hand=bench.hand,
                started_at=start,
                ended_at=end,
                pieces=operation.pieces if is_last else 0,
            )
        at = operation.done_at = stretches[-1][1]


def _delivered(
    order: Commission, operations: Sequence[Operation], days: WorkingDays, *, by: User
) -> None:
    """Done, delivered the next morning, paid three weeks later or by the day before the story."""
    order.operations.update(state=Operation.State.DONE, pieces_done=F("pieces"))
    Operation.objects.bulk_update(operations, ["done_at"])
    ends = [operation.done_at for operation in operations if operation.done_at]
    delivered = days.morning_after(max(ends))
    paid = min(delivered + timedelta(days=21), days.at(LAST_DAY, 15))
    Commission.objects.filter(pk=order.pk).update(stage=Stage.CLOSED)
    StageMove.objects.bulk_create(
        StageMove(commission=order, from_stage=before, to_stage=after, at=at, by=by)
        for before, after, at in (
            (Stage.IN_WORK, Stage.DELIVERED, delivered),
            (Stage.DELIVERED, Stage.CLOSED, paid),
        )
    )
