"""Clocking, days and plans through the API."""

import uuid
from datetime import timedelta

import pytest
from django.utils import timezone

from shop.models import Clocking, Plan
from tests.builders import a_hand, a_member, a_station, an_operation, an_order
from tests.orders.api.conftest import Program


@pytest.fixture
def nora(workshop):
    person = a_member(workshop, "hand")
    return a_hand(workshop, name="Nora", membership=person.membership)


@pytest.fixture
def operation(workshop):
    a_station(workshop)
    return an_operation(an_order(workshop))


def test_a_hand_starts_and_finishes(nora, operation):
    program = Program(nora.membership)
    key = str(uuid.uuid4())
    began = timezone.now() - timedelta(minutes=30)

    start = program.post(f"operations/{operation.pk}/start/", {"key": key, "at": began.isoformat()})
    again = program.post(f"operations/{operation.pk}/start/", {"key": key, "at": began.isoformat()})
    running = program.get(f"hands/{nora.pk}/bench/").json()
    end = program.post(f"operations/{operation.pk}/finish/", {"pieces": 4})

    assert start.status_code == 200, start.json()
    assert again.json()["id"] == start.json()["id"]
    assert running["running"]["operation"] == operation.pk
    assert end.json()["minutes"] == pytest.approx(30, abs=0.2)
    operation.refresh_from_db()
    assert operation.state == "done"


def test_nobody_clocks_for_another(nora, workshop, operation):
    other = a_hand(workshop, name="Other")

    answer = Program(nora.membership).post(
        f"operations/{operation.pk}/start/", {"key": str(uuid.uuid4()), "hand": other.pk}
    )

    assert answer.status_code in (400, 403, 409)
    assert not Clocking.objects.exists()


def test_a_foreman_corrects_with_a_reason_and_the_old_value_is_kept(program_of, nora, operation):
    began = timezone.now() - timedelta(hours=2)
    row = Clocking.objects.create(
        operation=operation, hand=nora, started_at=began, ended_at=timezone.now(), pieces=2
    )
    foreman = program_of("foreman")
    etag = foreman.get(f"clockings/{row.pk}/")["ETag"]
    body = {
        "started_at": began.isoformat(),
        "ended_at": (began + timedelta(hours=1)).isoformat(),
        "pieces": 2,
        "reason": "went to lunch",
    }

    changed = foreman.patch(f"clockings/{row.pk}/", body, etag)

    assert changed.status_code == 200, changed.json()
    assert changed.json()["minutes"] == pytest.approx(60)
    assert row.corrections.get().reason == "went to lunch"


def test_a_hand_sees_only_their_own_day(nora, workshop):
    program = Program(nora.membership)
    other = a_hand(workshop, name="Other")

    assert program.get(f"hands/{nora.pk}/day/").status_code == 200
    assert program.get(f"hands/{other.pk}/day/").status_code == 404
    assert program.get(f"hands/{nora.pk}/day/", on="someday").status_code == 400


def test_a_plan_is_asked_for_and_looked_at(
    program_of, workshop, nora, operation, django_capture_on_commit_callbacks
):
    foreman = program_of("foreman")
    with django_capture_on_commit_callbacks(execute=True):
        asked = foreman.post("plans/")

    assert asked.status_code == 202
    job = foreman.client.get(asked["Location"]).json()
    assert job["state"] == "done", job
    assert job["result"]["state"] == "adopted"
    plan = Plan.objects.of(workshop).get()
    bookings = foreman.get(f"plans/{plan.pk}/bookings/").json()
    assert bookings["results"][0]["operation"] == operation.pk
    assert foreman.get(f"plans/{plan.pk}/late/").json() == []
    assert foreman.post(f"plans/{plan.pk}/adopt/").status_code == 409
    Plan.objects.update(state=Plan.State.PROPOSED)
    assert foreman.post(f"plans/{plan.pk}/adopt/").json()["state"] == "adopted"


def test_an_ended_job_cannot_be_stopped(program_of, workshop):
    from shop.models import Job

    job = Job.objects.create(workshop=workshop, kind="plan", state="done")
    assert program_of("foreman").post(f"jobs/{job.pk}/stop/").status_code == 409


def test_a_minded_run_goes_on_beside_light_work(workshop, nora, program):
    workshop.allows_minding = True
    workshop.save()
    a_station(workshop, name="Router", kind="router", area="hall", may_be_left=True)
    a_station(workshop, area="hall")
    order = an_order(workshop)
    run = an_operation(order, station_kind="router")
    light = an_operation(order, code="clean-up")
    hand = Program(nora.membership)
    at = timezone.now() - timedelta(minutes=30)
    for operation in (run, light):
        sent = {"key": str(uuid.uuid4()), "at": at.isoformat()}
        hand.post(f"operations/{operation.pk}/start/", sent)

    bench = hand.get(f"hands/{nora.pk}/bench/").json()
    assert (bench["running"]["operation"], bench["minded"]["operation"]) == (light.pk, run.pk)
    for operation in (light, run):
        hand.post(f"operations/{operation.pk}/finish/", {"pieces": 4})
    book = {row["operation"]: row for row in program.get("clockings/").json()["results"]}
    assert (book[run.pk]["attention"], book[run.pk]["area"]) == ("minded", "hall")
    assert book[run.pk]["minutes"] == pytest.approx(30, abs=0.2)
    assert book[run.pk]["paid_minutes"] == pytest.approx(0, abs=0.2)
    assert book[light.pk]["paid_minutes"] == pytest.approx(30, abs=0.2)
