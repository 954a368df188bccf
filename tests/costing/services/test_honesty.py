"""Forecasts of past orders: rolling origin, and what quotes had promised."""

from datetime import timedelta

import pytest
from django.utils import timezone

from costing.models import ForetoldOrder, Quote
from costing.services.honesty import as_quoted, record
from costing.services.learning import fit_of
from costing.services.quotes import draft_quote
from orders.models import Commission, Operation
from tests.builders import a_commission, a_joint, an_assembly
from tests.costing.services.clocking_rows import done, learn_now, released_order, slow_orders

NOW = timezone.now()


def test_an_order_is_foretold_from_what_ended_before_it_began(workshop, hand):
    for days in (200, 120, 60, 10):
        at = NOW - timedelta(days=days)
        order = released_order(workshop, at)
        for _ in range(4):
            done(order, hand, 90, at=at)
    learn_now(workshop)

    foretold = list(ForetoldOrder.objects.of(workshop))

    assert [round(one.actual_h, 6) for one in foretold] == [6.0] * 4
    means = [one.mean_h for one in foretold]
    assert means[0] == pytest.approx(3.0)
    assert means[0] < means[1] < means[2] < means[3]


def test_an_order_with_work_left_is_not_scored(workshop, hand):
    slow_orders(workshop, hand, orders=3)
    one = Operation.objects.of(workshop).first()
    Operation.objects.filter(pk=one.pk).update(state=Operation.State.PAUSED)
    learn_now(workshop)

    assert ForetoldOrder.objects.of(workshop).count() == 2


def test_an_adopted_standard_does_not_flatter_the_past(workshop, hand):
    from costing.services.proposals import adopt, proposals

    slow_orders(workshop, hand)
    learn_now(workshop)
    before = [one.mean_h for one in ForetoldOrder.objects.of(workshop)]
    cells = [one.cell.pk for one in proposals(workshop)]
    adopt(workshop, cells, valid_from=timezone.localdate(), by=None)
    learn_now(workshop)

    after = [one.mean_h for one in ForetoldOrder.objects.of(workshop)]
    assert after == pytest.approx(before)


def test_quotes_stand_against_the_hours_clocked(workshop, hand):
    order = a_commission(workshop)
    joint = a_joint(an_assembly(order))
    quote = draft_quote(order, by=None, on=timezone.localdate())
    Quote.objects.filter(pk=quote.pk).update(state=Quote.State.ACCEPTED)
    Commission.objects.filter(pk=order.pk).update(stage="in-work")
    done(order, hand, 120, joint=joint)
    done(order, hand, 60, joint=joint)

    (one,) = as_quoted(workshop)

    assert one.actual == pytest.approx(3.0)
    assert one.hours.mean == pytest.approx(quote.content["estimate"]["hours"]["mean"])
    assert not one.is_kept
    found = record(workshop, fit_of(workshop))
    assert found.together.quoted.kept == 0
    assert [month.on.day for month in found.months] == [1]


def test_nothing_finished_is_no_record(workshop):
    found = record(workshop, None)
    assert (found.months, found.together) == ((), None)
