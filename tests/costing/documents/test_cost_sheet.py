"""The cost sheet: everything that a price is made of, and its sums."""

import pytest

from costing.core.estimate import Estimate
from costing.documents.cost_sheet import rows_of
from costing.services.estimating import estimate_for
from tests.costing.documents.reading import prose
from tests.costing.documents.samples import ON, a_bench, a_cost_sheet

pytestmark = pytest.mark.django_db


def test_every_figure_stands_on_it_and_adds_up():
    made: Estimate = estimate_for(a_bench(), ON)
    rows = list(rows_of(made.lines, made.currency))
    tops = [row["line"] for row in rows if row["level"] == 1]

    assert sum(line.amount for line in tops) == made.net
    assert len(rows) == sum(len(list(line.walk())) for line in made.lines)
    text = prose(a_cost_sheet())
    assert all(line.label.split()[0] in text for line in tops)
    assert "Not for the client." in text
    assert "four in five" in text
