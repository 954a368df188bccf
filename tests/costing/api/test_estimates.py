"""Estimates and their price, asked by a program."""

from decimal import Decimal

import pytest

from tests.builders import a_commission, a_joint, an_assembly

pytestmark = pytest.mark.django_db


@pytest.fixture
def commission(workshop):
    commission = a_commission(workshop)
    a_joint(an_assembly(commission))
    return commission


def test_a_price_is_set_and_asked_again(program, commission):
    address = f"commissions/{commission.pk}"
    sent = {"basis": "p80", "profit": {"basis": "markup", "share": "0.5"}}

    was = program.get(f"{address}/price/")
    assert was.json()["basis"] == "expected"
    assert program.put(f"{address}/price/", sent, was["ETag"]).status_code == 200
    assert program.put(f"{address}/price/", sent, was["ETag"]).status_code == 412

    estimate = program.get(f"{address}/estimate/").json()
    assert estimate["pricing"]["basis"] == "p80"
    assert Decimal(estimate["markup"]) == Decimal("0.5")
    assert estimate["chance_of_loss"] < 0.2


def test_another_price_is_asked_about_and_not_kept(program, commission):
    address = f"commissions/{commission.pk}"

    asked = program.get(f"{address}/estimate/?basis=hand&net=321.50").json()

    assert asked["net"] == "321.50"
    assert program.get(f"{address}/price/").json()["basis"] == "expected"


@pytest.mark.parametrize(
    ("sent", "pointer"),
    [
        ({"basis": "hand"}, "#/net"),
        ({"basis": "hand", "net": "-1"}, "#/net"),
        ({"basis": "guess"}, "#/basis"),
        ({"basis": "p80", "profit": {"basis": "margin", "share": "1"}}, "#/profit/share"),
    ],
)
def test_a_price_that_cannot_be_is_pointed_at(program, commission, sent, pointer):
    answer = program.put(f"commissions/{commission.pk}/price/", sent, "*")

    assert answer.status_code == 400
    assert [fault["pointer"] for fault in answer.json()["errors"]] == [pointer]


def test_lines_are_sent_as_deep_as_is_asked(program, commission):
    address = f"commissions/{commission.pk}/estimate/"
    whole, one, two = (
        program.get(address, **more).json() for more in ({}, {"levels": 1}, {"levels": 2})
    )

    assert [line["amount"] for line in one["lines"]] == [line["amount"] for line in whole["lines"]]
    assert not any(line["children"] for line in one["lines"])
    assert any(line["children"] for line in two["lines"])
    assert not any(deep["children"] for line in two["lines"] for deep in line["children"])
    assert program.get(address, levels="0").status_code == 400
