"""The pages of scenarios: a name, what it supposes, all side by side."""

from django.urls import reverse

from orders.core.stages import Stage
from orders.core.times import Skill
from orders.models import Commission
from shop.models import Job, Scenario
from shop.services import jobs


def a_scenario(floor, client, name="Longer days"):
    client.post(reverse("scenario-add"), {"name": name})
    return Scenario.objects.of(floor.workshop).get(name=name)


def suppose(client, row, kind, **fields):
    named = {f"{kind}-{name}": value for name, value in fields.items()}
    return client.post(reverse("scenario-suppose", args=[row.pk]), {"kind": kind, **named})


def test_a_scenario_is_named_filled_and_planned(floor, settings, monkeypatch):
    settings.PLANNING_SECONDS = 0.1
    monkeypatch.setattr(jobs, "wake", lambda job_id: None)
    client = floor.as_(floor.foreman)
    row = a_scenario(floor, client)
    suppose(client, row, "overtime", minutes=60, price="0.25", weekdays=["0", "5"])
    suppose(client, row, "station", station=floor.bench.pk)
    skills = {skill.value: "2" for skill in Skill}
    suppose(client, row, "hire", name="Eve", calendar=floor.bench.calendar_id, **skills)
    page = client.get(reverse("scenario", args=[row.pk])).content.decode()
    assert "everybody may work 60 min more on Monday, Saturday" in page
    assert "another Bench 1" in page
    client.post(reverse("scenario-drop", args=[row.pk]), {"place": "1"})

    client.post(reverse("scenarios-plan"))
    assert "Stop planning" in client.get(reverse("scenarios")).content.decode()
    jobs.run(Job.objects.get().pk)

    page = client.get(reverse("scenarios")).content.decode()
    assert "Eve is hired (" in page
    assert "another Bench 1" not in page
    assert "beside plan 7" in page
    assert page.count('class="figure"') == 2
    assert f"{floor.order.mark} Hall bench" in page


def test_an_order_in_work_is_left_out_and_without_any_that_is_said(floor):
    client = floor.as_(floor.foreman)
    row = a_scenario(floor, client, "Put it off")
    suppose(client, row, "leave", commission=floor.order.pk)
    Commission.objects.of(floor.workshop).filter(pk=floor.order.pk).update(stage=Stage.DELIVERED)

    page = client.get(reverse("scenario", args=[row.pk])).content.decode()

    assert Scenario.objects.get(pk=row.pk).changes == [
        {"kind": "leave", "commission": floor.order.pk}
    ]
    assert "an order is left out" in page
    assert "Nothing is in work." in page


def test_a_name_that_will_not_do_stays_typed_with_its_sentence(floor):
    client = floor.as_(floor.foreman)
    a_scenario(floor, client)

    nothing = client.post(reverse("scenario-add"), {"name": ""}).content.decode()
    twice = client.post(reverse("scenario-add"), {"name": "longer Days"}).content.decode()

    assert "Give it a name, such as “a second mortiser”." in nothing
    assert "There is a “longer Days” already; give another name." in twice
    assert 'value="longer Days"' in twice
    assert Scenario.objects.filter(is_base=False).count() == 1


def test_what_cannot_be_supposed_stays_typed_with_its_sentence(floor):
    client = floor.as_(floor.foreman)
    row = a_scenario(floor, client)

    answer = suppose(
        client,
        row,
        "away",
        who=f"hand-{floor.hand.pk}",
        starts_at="2027-03-02T08:00",
        ends_at="2027-03-01T08:00",
    ).content.decode()

    assert "The end must be later than the start." in answer
    assert 'value="2027-03-02T08:00"' in answer
    row.refresh_from_db()
    assert row.changes == []


def test_a_name_that_is_taken_is_refused_and_a_scenario_thrown_away(floor):
    client = floor.as_(floor.foreman)
    row = a_scenario(floor, client)
    again = client.post(reverse("scenario-add"), {"name": "Longer days"}, follow=True)
    assert "There is a “Longer days” already" in again.content.decode()

    client.post(reverse("scenario-remove", args=[row.pk]))

    assert "No scenario yet" in client.get(reverse("scenarios")).content.decode()
    assert floor.as_(floor.estimator).get(reverse("scenarios")).status_code == 403
