"""Estimates are as unsure as the clockings have shown, and cost what the standards say."""

import math

import pytest
from django.utils import timezone

from costing.models import LabourFit, LearnedCell
from costing.services.estimating import estimate_for
from orders.services.standards import current_edition
from tests.costing.services.test_estimating import (  # noqa: F401
    TODAY,
    commission,
    workshop,
)

pytestmark = pytest.mark.django_db


def learned(shop, spread, **spreads):
    """A fit in which every row is known to within so much."""
    edition = current_edition(shop, TODAY)
    fit = LabourFit.objects.create(
        workshop=shop,
        edition=edition,
        digest="x",
        made_at=timezone.now(),
        clockings=100,
        left_out=0,
        spreads={"residual": 0.0, "order": 0.0, **spreads},
        kept=b"",
    )
    width = math.exp(1.2815515655 * spread)
    LearnedCell.objects.bulk_create(
        LearnedCell(
            fit=fit,
            joint=row.joint,
            operation=row.operation,
            method=row.method,
            clockings=10,
            effective=10,
            weight=0.5,
            each_ratio=1,
            each_low=1 / width,
            each_high=width,
            setup_ratio=1,
            setup_low=1,
            setup_high=1,
        )
        for row in edition.rows.all()
    )
    return fit


def test_what_is_known_well_makes_a_narrow_estimate(commission, workshop):  # noqa: F811
    before = estimate_for(commission, TODAY)
    fit = learned(workshop, 0.05)
    narrow = estimate_for(commission, TODAY)
    LabourFit.objects.filter(pk=fit.pk).update(spreads={"residual": 0.6, "order": 0.3})
    wide = estimate_for(commission, TODAY)

    assert narrow.hours.sd < before.hours.sd < wide.hours.sd
    assert narrow.hours.mean == before.hours.mean == wide.hours.mean
    assert narrow.net == before.net == wide.net


def test_the_spread_is_that_of_the_scatter_and_of_what_is_not_known(commission, workshop):  # noqa: F811
    learned(workshop, 0.3, residual=0.4)

    made = estimate_for(commission, TODAY)
    risks = [risk for risk in made.risks if risk.hours]

    assert risks
    own = sum((risk.hours**2) * math.expm1(0.5**2) for risk in made.risks)
    assert made.hours.sd**2 == pytest.approx(own, rel=0.05)


def test_a_fit_of_another_edition_says_nothing(commission, workshop):  # noqa: F811
    before = estimate_for(commission, TODAY)
    fit = learned(workshop, 0.05)
    other = current_edition(workshop, TODAY)
    other.pk, other.number = None, other.number + 1
    other.valid_from = TODAY.replace(year=TODAY.year + 1)
    other.save()
    LabourFit.objects.filter(pk=fit.pk).update(edition=other)

    assert estimate_for(commission, TODAY) == before
