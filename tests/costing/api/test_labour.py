"""Labour per joint type through the API."""

from datetime import timedelta

import pytest
from django.utils import timezone

from shop.models import Clocking
from tests.builders import a_hand, a_joint, an_assembly, an_operation, an_order


@pytest.fixture
def clocked(workshop):
    """Four pieces in 50 minutes against 45: 5 to set up and 10 for each."""
    order = an_order(workshop)
    joint = a_joint(an_assembly(order))
    operation = an_operation(
        order, assembly=joint.assembly, joint=joint, code="chop", method="hand"
    )
    start = timezone.now() - timedelta(days=2)
    return Clocking.objects.create(
        operation=operation,
        hand=a_hand(workshop),
        started_at=start,
        ended_at=start + timedelta(minutes=50),
        pieces=4,
    )


def test_standard_stands_beside_taken(program, clocked):
    found = program.get("labour/").json()

    assert found["count"] == 1
    line = found["results"][0]
    assert (line["joint_type"], line["joint"]) == ("mortise-tenon", "Mortise and tenon")
    assert (line["standard_min"], line["taken_min"]) == (45, 50)
    assert line["total_ratio"] == pytest.approx(50 / 45)
    assert (line["clockings"], line["pieces"], line["low"]) == (1, 4, None)


@pytest.mark.parametrize(
    ("asked", "count"),
    [
        ({"joint_type": "dowel"}, 0),
        ({"joint_type": "mortise-tenon", "method": "hand"}, 1),
        ({"method": "machine"}, 0),
        ({"species": "oak-white"}, 1),
        ({"since": "2099-01-01"}, 0),
        ({"until": "2001-01-01"}, 0),
    ],
)
def test_lines_are_filtered(program, clocked, asked, count):
    assert program.get("labour/", **asked).json()["count"] == count


def test_a_filter_that_makes_no_sense_is_pointed_to(program):
    refused = program.get("labour/", since="lately")

    assert refused.status_code == 400
    assert refused.json()["errors"][0]["pointer"] == "#/since"


@pytest.mark.parametrize(("role", "status"), [("foreman", 200), ("hand", 403)])
def test_each_role_gets_what_its_permission_says(program_of, role, status):
    assert program_of(role).get("labour/").status_code == status
