"""Job costs, charges, what is left, and the owner's Monday."""

from datetime import timedelta
from decimal import Decimal as D

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from costing.core.jobcost import CostKind
from costing.models import Board, Charge, HandRate, Quote, RateEdition
from costing.services.charging import charge, stock_of, take_back
from costing.services.charging_for import charging_for
from costing.services.hourly import rates_on
from costing.services.job_costs import job_cost, job_costs
from costing.services.labour import Asked
from costing.services.labour import labour as labour_lines
from costing.services.order_books import in_progress, order_books
from costing.services.quotes import draft_quote
from costing.services.rates import new_edition, rate_book
from costing.services.remaining import remaining
from orders.core.errors import NotReady, RuleBroken, RulesBroken
from orders.core.stages import Stage
from orders.models import Commission
from orders.models.commission import StageMove
from shop.models import Clocking
from tests.builders import (
    a_commission,
    a_joint,
    a_station,
    a_workshop,
    an_assembly,
    an_operation,
)
from tests.costing.services.clocking_rows import done

NOW = timezone.now()
TODAY = timezone.localdate()
FROM_THE_START = TODAY - timedelta(days=900)


@pytest.fixture
def order(workshop):
    """Quoted and accepted at the rates in force, released three days ago."""
    commission = a_commission(workshop, title="Hall bench")
    a_joint(an_assembly(commission, name="Frame"), count=4, method="hand")
    quote = draft_quote(commission, by=None, on=TODAY)
    Quote.objects.filter(pk=quote.pk).update(state=Quote.State.ACCEPTED)
    Commission.objects.filter(pk=commission.pk).update(
        stage=Stage.IN_WORK, created_at=NOW - timedelta(days=90)
    )
    move(commission, Stage.IN_WORK, NOW - timedelta(days=3))
    return Commission.objects.get(pk=commission.pk)


def move(order, to, at):
    StageMove.objects.create(commission=order, from_stage="accepted", to_stage=to, at=at)


def joint_of(order):
    return order.assemblies.first().joints.first()


def dearer_rates(workshop, factor, valid_from=TODAY):
    """An edition whose labour costs so much more, in force from a day on."""
    last = RateEdition.objects.of(workshop).order_by("-number").first()
    labour = {skill: rate * factor for skill, rate in rate_book(last, TODAY).labour.items()}
    return new_edition(
        workshop,
        by=None,
        valid_from=valid_from,
        labour=labour,
        machines=rate_book(last, TODAY).machine,
    )


def line_of(cost, kind):
    return next(line for line in cost.lines if line.kind is kind)


def test_hours_at_the_quoted_rate_are_all_efficiency(workshop, order, hand):
    done(order, hand, 90, joint=joint_of(order))
    rate = rates_on(workshop, TODAY).labour["joinery"]

    labour = line_of(job_cost(order), CostKind.LABOUR)

    assert labour.actual == (D("1.5") * rate).quantize(D("0.01"))
    assert labour.price == 0
    assert labour.usage == labour.actual - labour.quoted
    assert labour.quoted > 0


def test_a_dearer_hour_is_told_apart_from_more_hours(workshop, order, hand):
    before = rates_on(workshop, TODAY).labour["joinery"]
    dearer_rates(workshop, D("1.10"))
    done(order, hand, 120, joint=joint_of(order), at=NOW)

    labour = line_of(job_cost(order), CostKind.LABOUR)

    assert labour.price == (2 * before * D("0.10")).quantize(D("0.01"))
    assert labour.actual == (2 * before * D("1.10")).quantize(D("0.01"))


def test_a_hand_who_has_a_rate_costs_that(workshop, order, hand):
    edition = RateEdition.objects.of(workshop).get()
    HandRate.objects.create(edition=edition, hand=hand, per_hour=D(47))
    done(order, hand, 120, joint=joint_of(order))

    labour = line_of(job_cost(order), CostKind.LABOUR)

    assert (labour.actual, labour.price) == (D(94), D(14))


def test_all_parts_add_up_and_assemblies_hold_what_is_theirs(workshop, order, hand):
    done(order, hand, 75, joint=joint_of(order))
    board = Board.objects.of(workshop).first()
    charge(
        order,
        kind="",
        label="",
        stock=f"board-{board.pk}",
        quantity=D("0.05"),
        unit_price=board.price_per_m3 + 100,
        assembly=order.assemblies.get(),
        on=TODAY,
        by=None,
    )

    cost = job_cost(order)

    timber = line_of(cost, CostKind.TIMBER)
    assert timber.price == D("5.00")
    assert cost.price_part + cost.usage_part == cost.difference
    (part,) = cost.parts
    assert part.assembly == order.assemblies.get().pk
    overhead = line_of(cost, CostKind.OVERHEAD)
    assert part.quoted == cost.quoted_cost - overhead.quoted
    assert part.actual == cost.actual_cost - overhead.actual


def test_an_order_without_a_quote_has_a_cost_and_no_price(workshop, hand):
    order = a_commission(workshop, stage=Stage.IN_WORK)
    joint = a_joint(an_assembly(order))
    done(order, hand, 60, joint=joint)
    cost = job_cost(order)
    assert (cost.net, cost.earned, cost.quoted_cost) == (None, None, 0)
    assert cost.actual_cost > 0


def test_costs_take_as_many_queries_for_five_orders(
    workshop, order, hand, django_assert_num_queries
):
    done(order, hand, 60, joint=joint_of(order))
    order.workshop = workshop
    with django_assert_num_queries(8):
        job_costs(workshop, [order])
    more = [a_commission(workshop) for _ in range(4)]
    with django_assert_num_queries(8):
        job_costs(workshop, [order, *more])


def test_without_rates_a_sentence_says_what_to_do(db):
    order = a_commission(a_workshop())
    with pytest.raises(NotReady, match="rate book"):
        job_cost(order)


@pytest.mark.parametrize(
    ("field", "change"),
    [
        ("kind", {"kind": "labour"}),
        ("label", {"label": " "}),
        ("quantity", {"quantity": D(0)}),
        ("unit_price", {"unit_price": D(-1)}),
        ("stock", {"stock": "board-0"}),
        ("on", {"on": TODAY - timedelta(days=4000)}),
    ],
)
def test_a_charge_that_cannot_be_is_refused_by_its_field(order, field, change):
    sent = {
        "kind": "outwork",
        "label": "Turning",
        "quantity": D(1),
        "unit_price": D(80),
        "on": TODAY,
        "by": None,
    }
    with pytest.raises(RulesBroken) as refused:
        charge(order, **{**sent, **change})
    assert field in {fault.field for fault in refused.value.errors}
    assert not Charge.objects.exists()


def test_a_charge_remembers_what_the_quote_reckoned(workshop, order):
    board = Board.objects.of(workshop).first()
    was = board.price_per_m3
    Board.objects.filter(pk=board.pk).update(price_per_m3=was * 2)
    stock = next(one for one in stock_of(workshop) if one.key == f"board-{board.pk}")
    row = charge(order, kind="", label="", stock=stock.key, quantity=D("0.1"), on=TODAY, by=None)
    assert (row.quoted_price, row.unit_price) == (was, was * 2)


def test_a_charge_is_taken_back_once_and_both_stay(order):
    row = charge(
        order,
        kind="outwork",
        label="Turning",
        quantity=D(2),
        unit_price=D(40),
        on=TODAY,
        by=None,
    )
    take_back(row, by=None, on=TODAY)
    assert line_of(job_cost(order), CostKind.OUTWORK).actual == 0
    with pytest.raises(RuleBroken, match="already"):
        take_back(row, by=None, on=TODAY)
    assert Charge.objects.count() == 2


def test_what_is_left_counts_open_pieces_and_no_second_set_up(workshop, order, hand):
    joint = joint_of(order)
    begun = an_operation(
        order, assembly=joint.assembly, joint=joint, code="chop-mortise", method="hand"
    )
    begun.pieces_done, begun.state = 3, "paused"
    begun.save()

    (left,) = remaining(workshop, [job_cost(order)])

    assert left.operations == 1
    assert left.hours.mean == pytest.approx(10 / 60)
    assert left.hours.p50 < left.hours.mean < left.hours.p80
    assert left.at_completion >= left.cost.actual_cost
    assert 0 <= left.chance_of_loss <= 1


def test_nothing_is_left_of_a_finished_order(workshop, order, hand):
    done(order, hand, 60, joint=joint_of(order))
    (left,) = remaining(workshop, [job_cost(order)])
    assert (left.operations, left.hours.mean, left.stock) == (0, 0, 0)
    assert left.earned == left.cost.earned


def test_work_in_progress_is_valued_at_the_end_of_a_day(workshop, order, hand):
    done(order, hand, 60, joint=joint_of(order), at=NOW - timedelta(days=2))
    done(order, hand, 60, joint=joint_of(order), at=NOW)

    earlier, now = (in_progress(workshop, TODAY - timedelta(days=n)) for n in (1, 0))

    assert 0 < earlier.value < now.value
    assert in_progress(workshop, TODAY - timedelta(days=30)).costs == ()
    move(order, Stage.DELIVERED, NOW)
    assert in_progress(workshop, TODAY).costs == ()
    assert in_progress(workshop, TODAY - timedelta(days=1)).value == earlier.value


def test_no_order_is_worth_more_than_its_price(workshop, order, hand):
    done(order, hand, 6000, joint=joint_of(order))
    found = in_progress(workshop, TODAY)
    assert found.value == found.costs[0].net < found.costs[0].actual_cost


def test_orders_are_ranked_by_what_an_hour_of_the_bottleneck_brought(workshop, order, hand):
    a_station(workshop, kind="bench", places=2)
    done(order, hand, 120, joint=joint_of(order))
    move(order, Stage.DELIVERED, NOW)
    Commission.objects.filter(pk=order.pk).update(stage=Stage.DELIVERED)

    books = order_books(workshop, TODAY)

    assert (books.bottleneck.kind, books.bottleneck.hours_per_place) == ("bench", 1.0)
    (row,) = books.ranked
    assert row.per_hour == row.cost.net / 2
    assert [cost.commission for cost in books.finished] == [order]
    (year,) = books.years
    assert (year.year, year.orders, year.earned) == (TODAY.year, 1, row.cost.earned)
    assert books.in_work == ()


def test_the_price_the_next_joint_needs_follows_from_what_it_took(workshop, order, hand):
    done(order, hand, 90, joint=joint_of(order))
    rates = rates_on(workshop, TODAY)

    (work,) = charging_for(workshop, rates)

    assert work.label == "Mortise and tenon"
    assert work.needed == pytest.approx(work.charged * 2, abs=D("0.02"))
    hourly = rates.labour["joinery"] + (rates.overhead.rate if rates.overhead.rate else 0)
    assert work.lost == pytest.approx(hourly * D("0.75"), abs=D("0.01"))


def minded(order, hand, basis):
    """Two hours at the router, of which half an hour of cleaning up stands beside."""
    workshop = order.workshop
    last = RateEdition.objects.of(workshop).order_by("-number").first()
    RateEdition.objects.filter(pk=last.pk).update(overhead_basis=basis, overhead_rate=D(12))
    at = NOW - timedelta(hours=3)
    run = done(
        order, hand, 120, at=at, joint=joint_of(order), station_kind="router", skill="machining"
    )
    light = done(order, hand, 30, at=at - timedelta(minutes=60), joint=joint_of(order))
    for operation, attention in ((run, "minded"), (light, "light")):
        operation.clockings.update(attention=attention, area="hall")
    return rates_on(workshop, TODAY)


@pytest.mark.parametrize(
    ("basis", "overhead_h"), [("labour-hour", D(2)), ("machine-hour", D(2)), ("labour-cost", 0)]
)
def test_a_minute_of_a_hand_is_paid_once_and_the_machine_for_its_whole_run(
    order, hand, basis, overhead_h
):
    rates = minded(order, hand, basis)

    cost = job_cost(order)

    labour = D("1.5") * rates.labour["machining"] + D("0.5") * rates.labour["joinery"]
    assert line_of(cost, CostKind.LABOUR).actual == labour
    assert line_of(cost, CostKind.MACHINE).actual == 2 * rates.machine["router"]
    expected = overhead_h * D(12) if overhead_h else labour * rates.overhead.rate
    assert line_of(cost, CostKind.OVERHEAD).actual == expected
    assert cost.hours == 2
    assert cost.at_station == {"router": 7200, "bench": 1800}
    assert sum(part.actual for part in cost.parts) == labour + 2 * rates.machine["router"]


def test_what_a_minded_run_lost_counts_its_hand_only_where_it_was_paid(order, hand):
    rates = minded(order, hand, "labour-hour")
    lost = {
        line.line.operation: line.lost
        for joint in labour_lines(order.workshop, Asked(), rates)
        for line in joint.operations
    }
    paid = D("1.5") * (rates.labour["machining"] + 12) + D("0.5") * (rates.labour["joinery"] + 12)
    standard = D(45) / 60 * (rates.labour["machining"] + rates.labour["joinery"] + 24)
    machine = (2 - D(45) / 60) * rates.machine["router"]
    assert sum(lost.values()) == pytest.approx(paid - standard + machine)


def test_costs_of_minded_runs_take_one_query_more(order, hand, django_assert_num_queries):
    minded(order, hand, "labour-hour")
    with CaptureQueriesContext(connection) as before:
        job_cost(order)
    Clocking.objects.update(attention="whole", area="")
    with django_assert_num_queries(len(before) - 1):
        job_cost(order)
