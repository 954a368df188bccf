"""Proposed standards through the API."""

import pytest
from django.utils import timezone

from orders.models import StandardEdition
from tests.builders import a_hand, a_workshop
from tests.costing.services.clocking_rows import learn_now, slow_orders

TODAY = str(timezone.localdate())


@pytest.fixture
def proposed(workshop, program):
    slow_orders(workshop, a_hand(workshop))
    learn_now(workshop)
    (one,) = program.get("learned/proposals/").json()["results"]
    return one


def test_old_and_new_are_told(proposed):
    assert proposed["new"]["each_min"] > proposed["old"]["each_min"]
    assert proposed["low"] < proposed["ratio"] < proposed["high"]
    assert proposed["coming"] is None


def test_one_is_adopted_and_taken_back(program, program_of, proposed):
    sent = {"cells": [proposed["cell"]], "valid_from": TODAY}
    assert program_of("estimator").post("learned/proposals/", sent).status_code == 403
    made = program.post("learned/proposals/", sent)
    assert (made.status_code, made.json()["number"]) == (201, 2)
    first = StandardEdition.objects.get(number=1)
    back = program.post(f"standards/{first.pk}/back/", {"valid_from": TODAY})
    assert (back.status_code, back.json()["number"]) == (201, 3)
    again = program.post(f"standards/{first.pk}/back/", {"valid_from": TODAY})
    assert again.status_code == 409
    stranger = program_of("owner", a_workshop())
    assert stranger.post(f"standards/{first.pk}/back/", {"valid_from": TODAY}).status_code == 404


def test_one_is_refused(program, proposed):
    answer = program.post("learned/proposals/refuse/", {"cells": [proposed["cell"]]})
    assert answer.json() == {"refused": 1}
    assert program.get("learned/proposals/").json()["count"] == 0


def test_nothing_chosen_is_a_problem_with_a_pointer(program, proposed):
    answer = program.post("learned/proposals/", {"cells": [], "valid_from": TODAY})
    assert answer.status_code == 400
    assert answer.json()["errors"][0]["pointer"] == "#/cells"
