"""What-ifs asked by a program."""

import pytest

from tests.builders import a_commission, a_joint, an_assembly

pytestmark = pytest.mark.django_db


@pytest.fixture
def commission(workshop):
    commission = a_commission(workshop)
    a_joint(an_assembly(commission), count=4)
    return commission


def test_an_alternative_is_kept_compared_and_adopted(program, commission):
    sent = {"commission": commission.pk, "name": "By hand", "supposed": {"method": "hand"}}
    made = program.post("what-ifs/", sent)
    assert made.status_code == 201, made.content
    assert program.get("what-ifs/", commission=commission.pk).json()["count"] == 1

    now, then = program.get(f"commissions/{commission.pk}/what-ifs/").json()
    assert (now["what_if"], now["supposes"]) == (None, [])
    assert then["supposes"] == ["all joints by hand"]
    assert then["net"] != now["net"]

    adopted = program.post(f"what-ifs/{made.json()['id']}/adopt/").json()
    assert adopted["net"] == then["net"]
    assert program.get(f"commissions/{commission.pk}/estimate/").json() == adopted


def test_one_of_many_is_priced(program, commission):
    found = program.get(f"commissions/{commission.pk}/quantities/", quantities="1, 4").json()

    assert [one["quantity"] for one in found] == [1, 4]
    assert float(found[1]["net_each"]) < float(found[0]["net_each"])


@pytest.mark.parametrize("wrong", ["0", "1,,2", "a", "1001", "-3"])
def test_quantities_that_are_none_are_pointed_at(program, commission, wrong):
    answer = program.get(f"commissions/{commission.pk}/quantities/", quantities=wrong)

    assert answer.status_code == 400
    assert answer.json()["errors"][0]["pointer"] == "#/quantities"


@pytest.mark.parametrize(
    ("supposed", "pointer"),
    [
        ({}, "#/supposed"),
        ({"quantity": 0}, "#/supposed/quantity"),
        ({"method": "both"}, "#/supposed/method"),
        ({"species": {"oak-white": "plastic"}}, "#/supposed/species/oak-white"),
    ],
)
def test_what_makes_no_sense_is_pointed_at(program, commission, supposed, pointer):
    sent = {"commission": commission.pk, "name": "Other", "supposed": supposed}

    answer = program.post("what-ifs/", sent)

    assert answer.status_code == 400
    assert pointer in [fault["pointer"] for fault in answer.json()["errors"]]
