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
    for change, place in (
        ({"kind": "overtime", "minutes": 900}, "changes/0/minutes"),
        ({"kind": "overtime", "minutes": "long"}, "changes/0/minutes"),
        ({"kind": "moon"}, "changes/0"),
        (
            {"kind": "away", "starts_at": "2027-01-01T08:00:00", "ends_at": "2027-01-02T08:00:00Z"},
            "changes/0/starts_at",
        ),
    ):
        answer = program.post("scenarios/", {"name": "No", "changes": [change]})

        assert answer.status_code == 400, change
        assert answer.headers["Content-Type"] == "application/problem+json"
        assert any(place in fault["pointer"] for fault in answer.json()["errors"]), change
