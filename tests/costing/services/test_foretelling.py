"""The hours of an order before its release, as the clockings foretell them."""

import pytest
from django.utils import timezone

from costing.core.labour import hours_of
from costing.services.clocked import planned
from costing.services.estimating import estimate_for
from costing.services.foretelling import foretold_hours
from costing.services.learning import learned_of
from costing.services.proposals import adopt, proposals
from orders.core.stages import Stage
from orders.models import Commission, Operation
from orders.services.release import release
from orders.services.standards import current_edition
from tests.builders import a_commission, a_joint, an_assembly, extra_work
from tests.costing.services.clocking_rows import learn_now, slow_orders

TODAY = timezone.localdate()


@pytest.fixture
def commission(workshop):
    """A frame of four joints, cut by hand, and some sanding."""
    made = a_commission(workshop)
    frame = an_assembly(made)
    a_joint(frame, count=4, method="hand")
    extra_work(frame)
    return made


def test_nothing_learned_foretells_nothing(commission):
    assert foretold_hours(commission) is None


def test_slow_work_is_foretold_as_slow(workshop, hand, commission):
    slow_orders(workshop, hand)
    learn_now(workshop)

    foretold = foretold_hours(commission).hours
    estimate = estimate_for(commission, TODAY).hours

    assert foretold.mean > estimate.mean * 1.05
    assert foretold.p50 < foretold.p80


def test_the_same_is_foretold_before_and_after_the_release(workshop, hand, commission):
    slow_orders(workshop, hand)
    learn_now(workshop)
    before = foretold_hours(commission).hours.mean
    Commission.objects.filter(pk=commission.pk).update(stage=Stage.ACCEPTED)
    release(Commission.objects.get(pk=commission.pk), by=None)

    rows = Operation.objects.filter(commission=commission)
    batches = planned(workshop, current_edition(workshop), rows)[commission.pk]
    after = hours_of(learned_of(workshop), [batch for _, batch in batches]).mean
    assert after == pytest.approx(before)


def test_adopting_what_was_learned_brings_the_two_together(workshop, hand, commission):
    slow_orders(workshop, hand)
    learn_now(workshop)
    cells = [one.cell.pk for one in proposals(workshop)]
    adopt(workshop, cells, valid_from=TODAY, by=None)
    learn_now(workshop)

    foretold, estimate = foretold_hours(commission).hours, estimate_for(commission, TODAY).hours
    assert foretold.mean == pytest.approx(estimate.mean, rel=0.05)
