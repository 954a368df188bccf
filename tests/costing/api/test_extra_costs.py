"""Extra costs through the API."""

import pytest

from tests.builders import a_commission, an_assembly


@pytest.fixture
def commission(workshop):
    return a_commission(workshop)


def test_a_cost_is_added_changed_and_removed(program, commission):
    sent = {"commission": commission.pk, "kind": "delivery", "label": "Van", "unit_price": "80"}
    made = program.post("extra-costs/", sent)
    address = f"extra-costs/{made.json()['id']}/"

    changed = program.patch(address, {"quantity": "2"}, made["ETag"])

    assert changed.json()["quantity"] == "2.0000"
    assert program.get(f"commissions/{commission.pk}/estimate/").json()["cost"] == "160.00"
    assert program.delete(address, changed["ETag"]).status_code == 204


def test_an_assembly_of_another_commission_is_refused(program, commission, workshop):
    other = an_assembly(a_commission(workshop))
    sent = {"commission": commission.pk, "kind": "finish", "label": "Oil", "unit_price": "8"}

    refused = program.post("extra-costs/", {**sent, "assembly": other.pk})

    assert refused.status_code == 400
    assert [fault["pointer"] for fault in refused.json()["errors"]] == ["#/assembly"]
