"""The rack through the API: every shelf is listed, filtered, added to, changed and emptied."""

import pytest

from costing.models import Board
from tests.builders import a_rack, a_workshop

SHELVES = {
    "boards": (
        {"species": "ash-white", "thickness_mm": "41", "price_per_m3": "2100.50"},
        "price_per_m3",
    ),
    "sheets": (
        {"species": "birch plywood", "thickness_mm": "12", "price_per_m2": "31"},
        "price_per_m2",
    ),
    "glues": (
        {
            "name": "Slow glue",
            "kind": "urea",
            "durability_class": "D3",
            "open_min": 20,
            "clamp_min": 240,
            "spread_g_per_m2": 150,
            "price_per_kg": "8.20",
        },
        "price_per_kg",
    ),
    "allowances": ({"species": "ash-white", "length_mm": "30"}, "length_mm"),
}


@pytest.mark.parametrize("shelf", SHELVES)
def test_a_row_is_added_read_changed_and_removed(program, shelf):
    fields, name = SHELVES[shelf]
    made = program.post(f"rack/{shelf}/", fields)
    assert made.status_code == 201, made.content
    place = f"rack/{shelf}/{made.json()['id']}/"
    assert made["Location"].endswith(f"/api/v1/{place}")

    changed = program.patch(place, {name: "9"}, made["ETag"])
    assert changed.status_code == 200, changed.content
    assert float(program.get(place).json()[name]) == 9
    assert changed["ETag"] != made["ETag"]

    assert program.delete(place, changed["ETag"]).status_code == 204
    assert program.get(place).status_code == 404


def test_a_repeat_with_the_same_key_adds_nothing(program, workshop):
    fields = SHELVES["boards"][0]
    before = Board.objects.of(workshop).count()

    first, again = (program.post("rack/boards/", fields, key="once") for _ in range(2))

    assert first.json() == again.json()
    assert Board.objects.of(workshop).count() == before + 1


def test_nobody_overwrites_what_they_have_not_read(program, workshop):
    board = Board.objects.of(workshop).first()
    place, stale = f"rack/boards/{board.pk}/", f'"{board.pk}-{board.version}"'
    program.patch(place, {"price_per_m3": "1"}, stale)

    assert program.patch(place, {"price_per_m3": "2"}, stale).status_code == 412
    assert program.patch(place, {"price_per_m3": "2"}).status_code == 428
    assert program.delete(place, stale).status_code == 412
    board.refresh_from_db()
    assert board.price_per_m3 == 1


@pytest.mark.parametrize(
    ("changes", "pointer"),
    [
        ({"species": "oka"}, "#/species"),
        ({"thickness_mm": "0"}, "#/thickness_mm"),
        ({"price_per_m3": "-1"}, "#/price_per_m3"),
        ({"price_per_m3": "NaN"}, "#/price_per_m3"),
        ({"waste_share_of_gross": "1"}, "#/waste_share_of_gross"),
    ],
)
def test_a_board_that_cannot_be_is_pointed_to(program, changes, pointer):
    refused = program.post("rack/boards/", SHELVES["boards"][0] | changes)

    assert refused.status_code == 400
    assert refused["Content-Type"] == "application/problem+json"
    assert [each["pointer"] for each in refused.json()["errors"]] == [pointer]


def test_the_same_board_twice_is_refused(program):
    program.post("rack/boards/", SHELVES["boards"][0])

    refused = program.post("rack/boards/", SHELVES["boards"][0])

    assert refused.status_code == 400
    assert "already" in refused.json()["detail"]


def test_a_shelf_is_filtered_and_comes_in_pages(program, workshop):
    found = program.get("rack/boards/", thickness_mm=27, page_size=1).json()

    assert found["count"] == Board.objects.of(workshop).filter(thickness_mm=27).count() == 1
    assert program.get("rack/glues/", durability_class="D4").json()["count"] == 1


def test_a_list_takes_the_same_queries_however_long(program, workshop, django_assert_num_queries):
    Board.objects.bulk_create(
        Board(workshop=workshop, species="pine-scots", thickness_mm=n, price_per_m3=1)
        for n in range(1, 40)
    )
    with django_assert_num_queries(4):
        program.get("rack/boards/")


def test_a_foreign_row_is_not_there(program):
    other = a_workshop()
    a_rack(other)
    board = Board.objects.of(other).first()

    assert program.get(f"rack/boards/{board.pk}/").status_code == 404
    assert program.delete(f"rack/boards/{board.pk}/", "*").status_code == 404


@pytest.mark.parametrize(
    ("role", "sees", "adds"), [("estimator", 200, 201), ("foreman", 200, 403), ("hand", 403, 403)]
)
def test_each_role_gets_what_its_permission_says(program_of, role, sees, adds):
    asking = program_of(role)

    assert asking.get("rack/boards/").status_code == sees
    assert asking.post("rack/boards/", SHELVES["boards"][0]).status_code == adds
