"""Stations, hands, calendars, closures, people and tokens through the API."""

import pytest
from django.core import mail

from shop.models import ApiToken, Hand
from tests.builders import a_calendar, a_member, a_station, a_user, a_workshop

WEEK = [
    {"weekday": 0, "starts": "08:00", "ends": "12:00"},
    {"weekday": 0, "starts": "17:00", "ends": "19:00", "is_overtime": True},
]


def test_a_shop_is_set_up(program):
    week = program.post("calendars/", {"name": "Week", "hours": WEEK}).json()
    station = program.post(
        "stations/", {"name": "Bench 1", "kind": "bench", "calendar": week["id"]}
    ).json()
    hand = program.post(
        "hands/", {"name": "Nora", "calendar": week["id"], "skills": {"joinery": 3}}
    ).json()

    assert week["hours"][0]["starts"] == "08:00:00"
    assert [one["is_overtime"] for one in week["hours"]] == [False, True]
    assert (station["kind"], hand["skills"]) == ("bench", {"joinery": 3})
    assert Hand.objects.get().skills.get().level == 3


def test_a_week_without_a_working_hour_is_refused_while_somebody_follows_it(program, workshop):
    week = a_calendar(workshop)
    a_station(workshop, calendar=week)
    etag = program.get(f"calendars/{week.pk}/")["ETag"]

    answer = program.patch(f"calendars/{week.pk}/", {"hours": []}, etag)

    assert answer.status_code in (400, 409)
    assert week.openings.count() == 10


@pytest.mark.parametrize("skills", [{"magic": 2}, {"joinery": 9}, {"joinery": "good"}, ["joinery"]])
def test_skills_that_are_none_are_refused(program, workshop, skills):
    body = {"name": "Nora", "calendar": a_calendar(workshop).pk, "skills": skills}

    answer = program.post("hands/", body)

    assert answer.status_code == 400
    assert answer.json()["errors"][0]["pointer"].startswith("#/skills")


def test_a_station_is_closed_and_opened_again(program, workshop):
    station = a_station(workshop)
    made = program.post(
        "closures/",
        {
            "station": station.pk,
            "starts_at": "2026-11-26T08:00:00Z",
            "ends_at": "2026-11-27T08:00:00Z",
            "reason": "new belt",
        },
    )

    assert made.status_code == 201, made.json()
    path = f"closures/{made.json()['id']}/"
    assert program.get("closures/", station=station.pk).json()["count"] == 1
    assert program.delete(path, made["ETag"]).status_code == 204


def test_somebody_is_invited_by_mail_and_given_another_role(
    program, django_capture_on_commit_callbacks
):
    with django_capture_on_commit_callbacks(execute=True):
        made = program.post("people/", {"email": "new@example.test", "name": "New", "role": "hand"})

    assert made.status_code == 201, made.json()
    assert mail.outbox[0].to == ["new@example.test"]
    path = f"people/{made.json()['id']}/"
    changed = program.patch(path, {"role": "foreman"}, made["ETag"])
    assert changed.json()["role"] == "foreman"
    assert program.delete(path, changed["ETag"]).status_code == 204


def test_a_machine_may_be_left_where_it_stands(program, workshop):
    station = a_station(workshop, kind="router")
    path = f"stations/{station.pk}/"

    etag = program.get(path)["ETag"]
    refused = program.patch(path, {"may_be_left": True}, etag)
    changed = program.patch(path, {"may_be_left": True, "area": "hall"}, etag)

    assert refused.json()["errors"][0]["pointer"] == "#/area"
    assert (changed.json()["area"], changed.json()["may_be_left"]) == ("hall", True)


def test_only_the_owner_sees_people(program_of):
    assert program_of("foreman").get("people/").status_code == 403


def test_the_workshops_settings_are_changed(program, workshop):
    etag = program.get("workshop/")["ETag"]

    changed = program.patch("workshop/", {"phone": "+353 1 555 0100"}, etag)

    assert changed.json()["phone"] == "+353 1 555 0100"
    assert program.patch("workshop/", {"phone": "x"}, etag).status_code == 412
    wrong = program.patch("workshop/", {"currency": "???"}, changed["ETag"])
    assert wrong.json()["errors"][0]["pointer"] == "#/currency"


def test_minding_is_allowed_and_light_work_named(program, workshop):
    etag = program.get("workshop/")["ETag"]
    said = {"allows_minding": True, "light_operations": ["sand"]}

    changed = program.patch("workshop/", said, etag)
    wrong = program.patch("workshop/", {"light_operations": ["cut-laps"]}, changed["ETag"])

    assert {name: changed.json()[name] for name in said} == said
    assert wrong.json()["errors"][0]["pointer"] == "#/light_operations"


def test_measures_are_put_one_after_another(program, workshop):
    etag = program.get("workshop/")["ETag"]
    order = {"plans_by": "order", "measure_order": ["late_orders", "lateness"]}

    changed = program.patch("workshop/", order, etag)
    twice = program.patch("workshop/", {"measure_order": ["setup", "setup"]}, changed["ETag"])

    assert {name: changed.json()[name] for name in order} == order
    assert twice.json()["errors"][0]["pointer"] == "#/measure_order"


def test_a_token_is_made_used_and_ended(program, client):
    made = program.post("tokens/", {"name": "sheet"}).json()
    headers = {"Authorization": f"Bearer {made['secret']}"}

    assert client.get("/api/v1/workshop/", headers=headers).status_code == 200
    assert program.delete(f"tokens/{made['id']}/").status_code == 204
    assert client.get("/api/v1/workshop/", headers=headers).status_code == 401
    assert "secret" not in program.get("tokens/").json()["results"][0]


def test_nobody_sees_the_tokens_of_others(program, program_of):
    program.post("tokens/", {"name": "mine"})

    assert [row["name"] for row in program_of("hand").get("tokens/").json()["results"]] == ["test"]


def sign_in(client, email, password="oak and ash", **more):
    return client.post(
        "/api/v1/token/",
        {"email": email, "password": password, **more},
        content_type="application/json",
    )


def test_a_password_is_changed_for_a_token(client, workshop):
    person = a_member(workshop)

    answer = sign_in(client, person.email)

    assert answer.status_code == 201
    assert answer["Cache-Control"] == "no-store"
    assert ApiToken.objects.get().membership == person.membership
    headers = {"Authorization": f"Bearer {answer.json()['secret']}"}
    assert client.get("/api/v1/workshop/", headers=headers).json()["id"] == workshop.pk


def test_a_wrong_password_gets_nothing(client, workshop):
    person = a_member(workshop)

    assert sign_in(client, person.email, "guess").status_code == 401
    assert sign_in(client, "nobody@example.test").status_code == 401


def test_a_person_of_two_workshops_names_one(client, workshop):
    person = a_member(workshop)
    other = a_workshop()
    person.memberships.create(workshop=other, role="hand")

    assert sign_in(client, person.email).json()["errors"][0]["pointer"] == "#/workshop"
    chosen = sign_in(client, person.email, workshop=other.pk)
    assert chosen.status_code == 201


def test_a_person_without_a_workshop_gets_no_token(client, db):
    assert sign_in(client, a_user().email).status_code == 400


def test_many_guesses_are_locked_out(client, workshop, settings):
    person = a_member(workshop)
    statuses = [sign_in(client, person.email, "guess").status_code for _ in range(12)]

    assert statuses[-1] in (403, 429)
    assert sign_in(client, person.email).status_code in (401, 403, 429)
