"""Two plans side by side: their orders, their measures, what moved."""

from datetime import timedelta

import pytest
from django.utils import timezone

from shop.models import Booking, Plan
from shop.services.comparing import compare, compared_by_default
from shop.services.pair_sheet import pair_sheet
from tests.builders import a_hand, a_station, a_workshop, an_operation, an_order

pytestmark = pytest.mark.django_db
NOW = timezone.now().replace(hour=8, minute=0, second=0, microsecond=0) + timedelta(days=1)
HOUR = timedelta(hours=1)


@pytest.fixture
def shop():
    return a_workshop(time_zone="UTC")


@pytest.fixture
def work(shop):
    """Two operations, one after the other, of an order that is due tomorrow."""
    order = an_order(shop, title="Hall bench", due_on=NOW.date())
    first = an_operation(order, name="Saw")
    return first, an_operation(order, name="Fit", after=[first])


def a_plan(shop, number, places, *, state="superseded", **objective):
    plan = Plan.objects.create(
        workshop=shop,
        number=number,
        state=state,
        made_at=NOW,
        read_at=NOW,
        method="by hand",
        objective=objective,
    )
    for operation, hand, hours in places:
        start = NOW + hours * HOUR
        Booking.objects.create(
            plan=plan, operation=operation, hand=hand, starts_at=start, ends_at=start + HOUR
        )
    return plan


def test_what_moved_is_told_with_its_reason_and_its_orders(shop, work):
    hand = a_hand(shop)
    one = a_plan(shop, 1, [(work[0], hand, 0), (work[1], hand, 1)])
    why = [{"operation": work[1].pk, "why": "Moved because it suits."}]
    promises = {str(work[0].commission_id): {"chance": 0.25}}
    other = a_plan(
        shop,
        2,
        [(work[0], hand, 0), (work[1], hand, 17)],
        against=1,
        changes=why,
        setup_min=12,
        idle_min=960,
        promises=promises,
    )

    found = compare(one, other)

    (move,) = found.moved
    assert (move.name, move.shift_min, move.why) == ("Fit", 16 * 60, "Moved because it suits.")
    (order,) = found.orders
    assert (order.one.late_min, order.other.late_min) == (0, 2 * 60)
    assert (order.one.chance, order.other.chance, order.shift_min) == (None, 25, 16 * 60)
    was, now = found.figures
    assert (was.late_orders, now.late_orders, now.setup_min) == (0, 1, 12)
    assert (was.waiting_min, now.waiting_min, now.least_chance) == (None, 960, 25)


def test_another_hand_at_the_same_time_is_a_move_and_without_that_plan_no_reason(shop, work):
    one = a_plan(shop, 1, [(work[0], a_hand(shop, name="Ines"), 0)])
    other = a_plan(shop, 3, [(work[0], a_hand(shop, name="Tom"), 0)], against=2)

    (move,) = compare(one, other).moved

    assert (move.shift_min, move.why, str(move.other.hand)) == (0, "", "Tom")


def test_both_are_drawn_in_two_lanes_and_joined(shop, work):
    bench, hand = a_station(shop), a_hand(shop)
    one = a_plan(shop, 1, [(work[0], hand, 0), (work[1], hand, 1)])
    other = a_plan(shop, 2, [(work[0], hand, 0), (work[1], hand, 3)])
    Booking.objects.filter(plan=other, operation=work[1]).update(station=bench)
    found = compare(one, other)

    by_order, by_station = pair_sheet(found, "order"), pair_sheet(found, "station")

    assert len(by_order.chart.joins) == 1
    (upper, lower) = by_order.chart.before[1], by_order.chart.after[1]
    assert (upper.is_moved, lower.is_moved, lower.x > upper.x, lower.y > upper.foot) == (True,) * 4
    assert [name.name for name, _ in by_station.rows] == [str(bench), "No station"]


def test_the_plan_in_force_and_the_proposal_are_compared_if_nothing_is_asked(shop):
    old, proposal, force = (
        a_plan(shop, number, [], state=state)
        for number, state in [(1, "superseded"), (3, "proposed"), (2, "adopted")]
    )

    assert compared_by_default([proposal, force, old]) == (force, proposal)
    assert compared_by_default([force, old]) == (force, old)
    assert compared_by_default([force]) is None


def test_comparing_costs_the_same_for_more_work(shop, work, django_assert_max_num_queries):
    hand = a_hand(shop)
    more = [an_operation(work[0].commission, after=[work[0]]) for _ in range(8)]
    plans = [
        a_plan(shop, n, [(op, hand, n + i) for i, op in enumerate([*work, *more])]) for n in (1, 2)
    ]
    with django_assert_max_num_queries(12):
        pair_sheet(compare(*plans), "order")
