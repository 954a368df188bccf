"""Patterns and alternatives through the API."""

import pytest

from tests.builders import a_commission, a_joint, an_assembly


@pytest.fixture
def commission(workshop):
    return a_commission(workshop)


def test_a_table_with_two_drawers_is_one_request(program, commission):
    codes = {row["code"] for row in program.get("patterns/").json()}
    body = {"pattern": "table", "sizes": {"drawers": 2, "apron_width_mm": 120}, "quantity": 3}

    made = program.post(f"commissions/{commission.pk}/patterns/", body)

    assert "table" in codes
    assert made.status_code == 201, made.json()
    assert made.json()["quantity"] == 3
    assert commission.assemblies.count() == 2
    assert commission.assemblies.get(parent__isnull=False).quantity == 2


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({"pattern": "spaceship"}, "#/pattern"),
        ({"pattern": "table", "sizes": {"leg_mm": 5000}}, "#/sizes/leg_mm"),
        ({"pattern": "table", "sizes": {"wings": 2}}, "#/sizes/wings"),
        ({"pattern": "table", "quantity": 0}, "#/quantity"),
    ],
)
def test_what_a_pattern_cannot_be_is_pointed_at(program, commission, body, pointer):
    answer = program.post(f"commissions/{commission.pk}/patterns/", body)

    assert answer.status_code == 400
    assert answer.json()["errors"][0]["pointer"] == pointer
    assert not commission.assemblies.exists()


def test_a_joint_is_compared_and_swapped(program, commission):
    joint = a_joint(an_assembly(commission))

    found = program.get(f"joints/{joint.pk}/alternatives/").json()
    swapped = program.post(f"joints/{joint.pk}/alternatives/", {"to": "dowel"})

    assert found["fitting"][0]["is_present"] is True
    assert "dowel" in [one["type"] for one in found["fitting"]]
    assert swapped.json()["type"] == "dowel"
