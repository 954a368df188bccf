"""The rate book through the API: editions are made and read, never changed."""

import pytest

from costing.models import RateEdition
from tests.builders import a_hand, rates_for

NEXT = {
    "valid_from": "2026-03-01",
    "labour": {"joinery": "44.50", "machining": "41"},
    "machine": {"saw": "12.25"},
    "profit_share": "0.25",
}

MORTISER = {
    "purchase": "14000",
    "residual": "2000",
    "life_h": "10000",
    "hours_run": "900",
    "interest": "400",
    "upkeep": "250",
    "insurance": "100",
    "floor_m2": "10",
    "power_kw": "3",
    "load": "0.5",
}
"""With a rent of 60 and a tariff of 0.30: 3.15 an hour, by own arithmetic."""


def test_everything_in_an_edition_is_sent_and_read_back(program, workshop):
    hand = a_hand(workshop)
    sent = NEXT | {
        "overhead_basis": "department",
        "departments": {"joinery": "9.50"},
        "hands": {str(hand.pk): "31.25"},
        "build_ups": {"mortiser": MORTISER},
        "rent_per_m2": "60",
        "tariff_per_kwh": "0.30",
        "outwork_handling": "0.05",
        "tax_steps": {"2027-01-01": "21"},
    }

    made = program.post("rate-editions/", sent).json()

    said = program.get(f"rate-editions/{made['id']}/").json()
    assert said["machine"] == {"saw": "12.25", "mortiser": "3.15"}
    assert said["departments"] == {"joinery": "9.50"}
    assert said["hands"] == {str(hand.pk): "31.25"}
    assert said["tax_steps"] == {"2027-01-01": "21.00"}
    assert said["build_ups"]["mortiser"]["purchase"] == "14000.000"
    again = program.post("rate-editions/", NEXT | {"machine": {"mortiser": "3.15"}}).json()
    assert again["build_ups"] == said["build_ups"]
    typed = program.post("rate-editions/", NEXT | {"machine": {"mortiser": "4"}}).json()
    assert typed["build_ups"] == {}


def test_a_new_edition_takes_over_what_is_left_out(program, workshop):
    made = program.post("rate-editions/", NEXT)

    assert made.status_code == 201, made.content
    said = program.get(f"rate-editions/{made.json()['id']}/").json()
    assert said == made.json()
    assert said["number"] == 2
    assert said["labour"] == {"joinery": "44.50", "machining": "41.00"}
    assert said["machine"] == {"saw": "12.25"}
    assert said["tax_rate"] == "23.00"


def test_a_repeat_with_the_same_key_makes_no_second_edition(program, workshop):
    first, again = (program.post("rate-editions/", NEXT, key="once") for _ in range(2))

    assert first.json() == again.json()
    assert RateEdition.objects.of(workshop).count() == 2


@pytest.mark.parametrize(
    ("changes", "pointer"),
    [
        ({"labour": {"juggling": "10"}}, "#/labour/juggling"),
        ({"machine": {"oven": "10"}}, "#/machine/oven"),
        ({"labour": {"joinery": "-1"}}, "#/labour/joinery"),
        ({"profit_share": "1", "profit_basis": "margin"}, "#/profit_share"),
        ({"tax_rate": "101"}, "#/tax_rate"),
        ({"departments": {"juggling": "10"}}, "#/departments/juggling"),
        ({"hands": {"0": "10"}}, "#/hands/0"),
        ({"hands": {"Joss": "10"}}, "#/hands/Joss"),
        ({"build_ups": {"saw": MORTISER | {"life_h": "0"}}}, "#/build_ups/saw/life_h"),
        ({"build_ups": {"saw": MORTISER | {"load": "2"}}}, "#/build_ups/saw/load"),
        ({"tax_steps": {"2026-13-01": "20"}}, "#/tax_steps"),
        ({"valid_from": "tomorrow"}, "#/valid_from"),
    ],
)
def test_figures_that_make_no_sense_are_pointed_to(program, changes, pointer):
    refused = program.post("rate-editions/", NEXT | changes)

    assert refused.status_code == 400
    assert [each["pointer"] for each in refused.json()["errors"]] == [pointer]


def test_an_edition_is_not_changed(program, workshop):
    edition = RateEdition.objects.of(workshop).first()

    assert program.patch(f"rate-editions/{edition.pk}/", {"note": "x"}, "*").status_code == 405


def test_editions_are_listed_in_few_queries(program, workshop, django_assert_num_queries):
    for _ in range(4):
        rates_for(workshop)
    with django_assert_num_queries(9):
        found = program.get("rate-editions/").json()

    assert [each["number"] for each in found["results"]] == [5, 4, 3, 2, 1]


@pytest.mark.parametrize(
    ("role", "sees", "makes"), [("estimator", 200, 403), ("foreman", 403, 403), ("hand", 403, 403)]
)
def test_each_role_gets_what_its_permission_says(program_of, role, sees, makes):
    asking = program_of(role)

    assert asking.get("rate-editions/").status_code == sees
    assert asking.post("rate-editions/", NEXT).status_code == makes
