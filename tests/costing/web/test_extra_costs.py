"""Finish, outwork, delivery and sundries on the screen, and in the estimate."""

from decimal import Decimal

import pytest
from django.urls import reverse

from costing.services.estimating import estimate_for
from costing.services.extra_costs import add_extra_cost
from orders.core.stages import Stage
from tests.costing.services.test_estimating import TODAY

OIL = {
    "kind": "finish",
    "label": "Oil",
    "quantity": "0.5",
    "unit": "l",
    "unit_price": "30",
    "spread": "0",
}


@pytest.fixture
def add(commission):
    return reverse("extra-cost-add", args=[commission.pk])


def test_a_cost_for_the_whole_stands_in_the_estimate_once(signed_in, commission, add):
    signed_in("estimator").post(add, OIL)

    line = estimate_for(commission, TODAY).line("finish")
    assert line.amount == Decimal("15.00")
    assert next(line.leaves()).make_up == "0.5000 l at 30.00"


def test_a_cost_of_an_assembly_is_multiplied(signed_in, commission, add):
    frame = commission.assemblies.get(name="Frame")

    signed_in().post(add, {**OIL, "kind": "outwork", "assembly": str(frame.pk)})

    assert estimate_for(commission, TODAY).line("outwork").amount == Decimal("30.00")


def test_a_price_that_is_unsure_widens_the_spread(commission):
    sure = add_extra_cost(commission, kind="outwork", label="Glass", unit_price=Decimal(900))
    before = estimate_for(commission, TODAY).expected_cost
    sure.spread = 0.4
    sure.save()

    assert estimate_for(commission, TODAY).expected_cost.sd > before.sd


def test_a_cost_is_changed_and_taken_out(signed_in, commission, add):
    browser = signed_in()
    browser.post(add, OIL)
    row = commission.extra_costs.get()
    address = reverse("extra-cost", args=[row.pk])

    browser.post(address, {**OIL, "unit_price": "40", "version": str(row.version)})
    assert estimate_for(commission, TODAY).line("finish").amount == 20
    stale = browser.post(address, {**OIL, "version": str(row.version)}).content.decode()
    assert "Somebody changed this" in stale
    browser.post(reverse("extra-cost-remove", args=[row.pk]))
    assert not commission.extra_costs.exists()


@pytest.mark.parametrize(
    "wrong",
    [{"quantity": "-1"}, {"unit_price": "x"}, {"spread": "4"}, {"label": ""}, {"kind": "bribe"}],
)
def test_what_cannot_be_is_said_beside_its_field(signed_in, commission, add, wrong):
    page = signed_in().post(add, OIL | wrong).content.decode()

    assert 'aria-invalid="true"' in page
    assert not commission.extra_costs.exists()


def test_a_frozen_commission_takes_no_more(signed_in, commission, add):
    commission.stage = Stage.IN_WORK
    commission.save()

    signed_in().post(add, OIL)

    assert not commission.extra_costs.exists()
