"""What was learned, through the API."""

from datetime import timedelta

import pytest
from django.utils import timezone

from costing.models import DoubtfulClocking
from costing.services import learning
from shop.models import Job
from shop.services import jobs
from tests.builders import a_hand
from tests.costing.services.clocking_rows import done, released_order

NOW = timezone.now()


@pytest.fixture
def learned(workshop):
    hand = a_hand(workshop)
    for number in range(6):
        at = NOW - timedelta(days=20 - number)
        done(released_order(workshop, at), hand, 60, at=at)
    done(released_order(workshop, NOW), hand, 2000, at=NOW - timedelta(days=1))
    jobs.run(Job.objects.create(workshop=workshop, kind=learning.KIND).pk)
    return workshop


def test_cells_doubts_and_hands_are_told(program, learned):
    (cell,) = program.get("learned/cells/", operation="chop-mortise").json()["results"]
    assert cell["each_low"] < cell["each_ratio"] < cell["each_high"]
    (doubt,) = program.get("learned/doubts/").json()["results"]
    assert doubt["minutes"] == pytest.approx(2000)
    assert program.get("learned/effects/").json()["count"] == 2


def test_forecasts_stand_against_what_was_taken(program, learned):
    (month, *_) = program.get("learned/honesty/").json()["results"]
    assert month["learned"]["orders"] >= 1
    assert month["quoted"] is None
    assert program.get("learned/foretold/").json()["count"] == 7


def test_learning_is_asked_for_as_a_job(program, learned):
    answer = program.post("learned/cells/")
    assert answer.status_code == 202
    assert answer.json()["kind"] == learning.KIND
    assert answer.headers["Location"].endswith(f"/jobs/{answer.json()['id']}/")


def test_a_doubt_is_judged(program, learned):
    doubt = DoubtfulClocking.objects.get()
    answer = program.post(f"learned/doubts/{doubt.pk}/judge/", {"is_sound": False, "note": "late"})
    assert answer.status_code == 200, answer.content
    assert answer.json()["operation"] == doubt.operation_id


def test_a_change_is_marked_and_settled(program, learned):
    day = str(timezone.localdate() - timedelta(days=9))
    sent = {"operation": "chop-mortise", "method": "hand", "on": day}
    made = program.post("learned/changes/", sent)
    assert (made.status_code, made.json()["state"]) == (201, "marked")
    settled = program.post(f"learned/changes/{made.json()['id']}/settle/", {"is_real": False})
    assert settled.json()["state"] == "refused"


def test_a_change_of_nothing_is_refused_with_a_pointer(program, learned):
    day = str(timezone.localdate())
    answer = program.post(
        "learned/changes/", {"operation": "polish-the-cat", "method": "hand", "on": day}
    )
    assert answer.status_code == 400
    assert answer.json()["errors"][0]["pointer"] == "#/operation"


def test_only_the_owner_compares_hands(program_of, learned):
    assert program_of("foreman").get("learned/effects/").status_code == 403
    assert program_of("foreman").get("learned/doubts/").status_code == 200
    assert program_of("estimator").get("learned/doubts/").status_code == 403
