"""Plans and promises through the API."""

from django.utils import timezone

from shop.models import Plan
from tests.builders import a_commission, a_hand, a_station, an_assembly, extra_work


def test_the_earliest_honest_date_is_answered_without_planning_anything(program, workshop):
    a_station(workshop)
    a_hand(workshop)
    commission = a_commission(workshop)
    extra_work(an_assembly(commission), operation="fit-hardware", minutes=90)

    answer = program.get(f"commissions/{commission.pk}/earliest-date/").json()

    assert answer["starts_on"] <= answer["planned_on"] <= answer["promised_on"]
    assert answer["work_min"] == 90


def test_a_day_that_is_none_is_refused_at_its_place(program, workshop):
    commission = a_commission(workshop)

    answer = program.get(f"commissions/{commission.pk}/earliest-date/?not_before=soon")

    assert answer.status_code == 400
    assert "not_before" in answer.json()["errors"][0]["pointer"]


def a_plan(workshop, number, state="proposed"):
    now = timezone.now()
    return Plan.objects.create(
        workshop=workshop, number=number, state=state, made_at=now, read_at=now, method="by hand"
    )


def test_a_plan_is_kept_compared_adopted_and_the_adoption_taken_back(program, workshop):
    old, new = a_plan(workshop, 1, "adopted"), a_plan(workshop, 2)

    assert program.post(f"plans/{new.pk}/keep/").json()["state"] == "kept"
    found = program.get(f"plans/{new.pk}/against/{old.pk}/").json()
    assert (found["one"], found["other"], found["moved"]) == (old.pk, new.pk, [])
    program.post(f"plans/{new.pk}/adopt/")
    (change,) = program.get("plan-changes/").json()["results"]
    undone = program.post(f"plan-changes/{change['id']}/undo/")

    assert (undone.status_code, change["number_after"]) == (200, 2)
    assert Plan.objects.in_force().get() == old
    redone = program.post(f"plan-changes/{change['id']}/redo/")
    assert (redone.status_code, redone.json()["undone_at"]) == (200, None)
    assert Plan.objects.in_force().get() == new
    program.post(f"plan-changes/{change['id']}/undo/")
    again = program.post(f"plan-changes/{change['id']}/undo/")
    assert (again.status_code, again.headers["Content-Type"]) == (409, "application/problem+json")
