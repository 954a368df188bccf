"""Proposed standards: adopted as an edition, refused, rolled back; and what they are worth."""

from datetime import timedelta

import pytest
from django.utils import timezone

from costing.models import LabourFit, Quote, RefusedProposal
from costing.services import proposals
from costing.services.learning import fit_of
from costing.services.quotes import draft_quote
from orders.core.errors import NotNow, RuleBroken
from orders.models import Operation, StandardEdition
from orders.services.standards import changed_rows, current_edition, roll_back
from tests.builders import a_commission, a_hand, a_joint, a_shop_that_can_price, an_assembly
from tests.costing.services.clocking_rows import learn_now, slow_orders

TODAY = timezone.localdate()


@pytest.fixture
def workshop(db):
    """A shop whose mortises take half as long again, and which knows it."""
    shop = a_shop_that_can_price()
    slow_orders(shop, a_hand(shop))
    learn_now(shop)
    return shop


def only(workshop):
    (one,) = proposals.proposals(workshop)
    return one


def adopt(workshop, on=TODAY):
    return proposals.adopt(workshop, [only(workshop).cell.pk], valid_from=on, by=None)


def test_a_standard_that_is_surely_out_is_proposed_with_scaled_minutes(workshop):
    one = only(workshop)
    ratio = one.cell.each_ratio
    assert (one.old.joint, one.old.operation) == ("mortise-tenon", "chop-mortise")
    assert one.new.each_min == pytest.approx(one.old.each_min * ratio, abs=0.001)
    assert one.new.per_driver == pytest.approx(one.old.per_driver * ratio, rel=1e-3)
    assert "24 clockings" in one.new.source


def test_adopting_makes_an_edition_and_ends_the_proposal_for_good(workshop):
    minutes = list(Operation.objects.values_list("setup_min", "each_min"))

    edition = adopt(workshop)
    learn_now(workshop)

    assert edition == current_edition(workshop)
    assert edition.number == 2
    assert proposals.proposals(workshop) == ()
    cell = LabourFit.objects.of(workshop).get().cells.get()
    assert cell.each_ratio == pytest.approx(1, abs=0.06)
    assert list(Operation.objects.values_list("setup_min", "each_min")) == minutes


def test_what_is_quoted_keeps_its_edition(workshop):
    commission = a_commission(workshop)
    a_joint(an_assembly(commission))
    quote = draft_quote(commission, by=None, on=TODAY)

    adopt(workshop)

    assert Quote.objects.get(pk=quote.pk).standard_edition.number == 1


def test_an_edition_to_come_is_not_adopted_twice(workshop):
    cell = only(workshop).cell
    adopt(workshop, TODAY + timedelta(days=7))

    assert only(workshop).coming == TODAY + timedelta(days=7)
    with pytest.raises(NotNow):
        proposals.adopt(workshop, [cell.pk], valid_from=TODAY, by=None)


def test_a_refused_proposal_stays_away_until_the_clockings_say_otherwise(workshop):
    cell = only(workshop).cell
    assert proposals.refuse(workshop, [cell.pk], by=None, at=timezone.now(), note="known") == 1
    learn_now(workshop)
    assert proposals.proposals(workshop) == ()

    RefusedProposal.objects.update(ratio=cell.each_ratio * 1.3)
    assert only(workshop)


def test_nothing_ticked_and_what_is_gone_are_told(workshop):
    with pytest.raises(RuleBroken, match="Tick"):
        proposals.adopt(workshop, [], valid_from=TODAY, by=None)
    with pytest.raises(NotNow, match="changed meanwhile"):
        proposals.refuse(workshop, [999_999], by=None, at=timezone.now())


def test_rolling_back_is_an_edition_with_the_old_minutes(workshop):
    first = current_edition(workshop)
    second = adopt(workshop)
    assert len(changed_rows(second, first)) == 1

    third = roll_back(workshop, first, valid_from=TODAY)

    assert third.number == 3
    assert changed_rows(third, first) == ()
    with pytest.raises(NotNow, match="already"):
        roll_back(workshop, first, valid_from=TODAY)
    assert StandardEdition.objects.of(workshop).count() == 3


def test_the_year_is_charged_with_what_its_work_took_beyond_the_standard(workshop):
    cell = LabourFit.objects.of(workshop).get().cells.get()
    # 24 batches of 4 pieces at 10 min, an hour of joinery at its rate with all overhead
    from costing.services.hourly import hour_cost, rates_on

    hour = hour_cost(rates_on(workshop, TODAY), "joinery", "bench")
    this_year = [s for s in range(8) if (TODAY - timedelta(days=39 - s)).year == TODAY.year]
    minutes = len(this_year) * 3 * (40 * (cell.each_ratio - 1) + 5 * (cell.new_setup_ratio - 1))
    assert float(cell.year_effect) == pytest.approx(minutes / 60 * float(hour), abs=0.02)
    assert cell.quotes_effect == 0


def test_open_quotes_are_reckoned_at_what_was_learned(workshop):
    commission = a_commission(workshop)
    a_joint(an_assembly(commission), count=4, method="hand")
    quote = draft_quote(commission, by=None, on=TODAY)
    Quote.objects.filter(pk=quote.pk).update(state=Quote.State.ISSUED)

    learn_now(workshop)

    assert fit_of(workshop).cells.get().quotes_effect > 0
