"""What orders cost, through the API."""

from datetime import timedelta
from decimal import Decimal as D

import pytest
from django.utils import timezone

from costing.models import Board
from orders.models import Commission
from tests.builders import a_hand, a_workshop
from tests.costing.services.clocking_rows import done, released_order

TODAY = str(timezone.localdate())


@pytest.fixture
def order(workshop):
    made = released_order(workshop, timezone.now() - timedelta(days=3))
    done(made, a_hand(workshop), 120)
    Commission.objects.filter(pk=made.pk).update(created_at=timezone.now() - timedelta(days=9))
    return made


def test_cost_is_told_kind_by_kind(program, order):
    cost = program.get(f"commissions/{order.pk}/cost/").json()
    assert cost["price"] is None
    assert D(cost["actual_cost"]) == sum(D(line["actual"]) for line in cost["lines"])
    for line in cost["lines"]:
        assert D(line["price"]) + D(line["usage"]) == D(line["difference"])
    assert cost["hours_taken"] == pytest.approx(2)


def test_orders_in_work_and_joints_are_listed(program, order):
    assert program.get("costs/orders/").json()["count"] == 1
    (joint,) = program.get("costs/joints/").json()["results"]
    assert D(joint["needed"]) > D(joint["charged"])


def test_a_charge_is_made_and_taken_back(program, workshop, order):
    board = Board.objects.of(workshop).first()
    sent = {
        "commission": order.pk,
        "stock": f"board-{board.pk}",
        "quantity": "0.1",
        "on": TODAY,
    }
    made = program.post("charges/", sent)
    assert made.status_code == 201, made.content
    assert made.json()["kind"] == "timber"
    path = f"charges/{made.json()['id']}/back/"
    assert program.post(path).json()["takes_back"] == made.json()["id"]
    assert program.post(path).status_code == 400
    wrong = program.post("charges/", {**sent, "stock": "", "quantity": "0"})
    assert {one["pointer"] for one in wrong.json()["errors"]} >= {"#/quantity"}


def test_others_see_nothing(program_of, order):
    assert program_of("foreman").get("charges/").status_code == 403
    stranger = program_of("owner", a_workshop())
    assert stranger.get(f"commissions/{order.pk}/cost/").status_code == 404
