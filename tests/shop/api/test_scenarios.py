"""Scenarios through the API."""

from tests.builders import a_station


def test_a_scenario_is_kept_changed_and_planned(program, workshop):
    bench = a_station(workshop)
    sent = {"name": "Two benches", "changes": [{"kind": "station", "station": bench.pk}]}
    made = program.post("scenarios/", sent)
    row = made.json()
    assert (made.status_code, row["changes"], row["outcome"]) == (201, sent["changes"], None)

    changed = program.patch(
        f"scenarios/{row['id']}/",
        {"changes": [{"kind": "overtime", "minutes": 60}]},
        etag=made.headers["ETag"],
    ).json()
    assert changed["changes"][0]["weekdays"] == [0, 1, 2, 3, 4]
    assert program.post("scenarios/plan/").status_code == 202


def test_what_cannot_be_supposed_is_refused_at_its_place(program, workshop):
    answer = program.post(
        "scenarios/",
        {"name": "Too long", "changes": [{"kind": "overtime", "minutes": 900}, {"kind": "moon"}]},
    )

    assert (answer.status_code, answer.headers["Content-Type"]) == (400, "application/problem+json")
    pointers = [fault["pointer"] for fault in answer.json()["errors"]]
    assert any("changes/0/minutes" in pointer for pointer in pointers)
    assert any("changes/1" in pointer for pointer in pointers)
