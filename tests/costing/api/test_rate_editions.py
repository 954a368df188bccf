"""The rate book through the API: editions are made and read, never changed."""

import pytest

from costing.models import RateEdition
from tests.builders import rates_for

NEXT = {
    "valid_from": "2026-03-01",
    "labour": {"joinery": "44.50", "machining": "41"},
    "machine": {"saw": "12.25"},
    "profit_share": "0.25",
}


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
    with django_assert_num_queries(6):
        found = program.get("rate-editions/").json()

    assert [each["number"] for each in found["results"]] == [5, 4, 3, 2, 1]


@pytest.mark.parametrize(
    ("role", "sees", "makes"), [("estimator", 200, 403), ("foreman", 403, 403), ("hand", 403, 403)]
)
def test_each_role_gets_what_its_permission_says(program_of, role, sees, makes):
    asking = program_of(role)

    assert asking.get("rate-editions/").status_code == sees
    assert asking.post("rate-editions/", NEXT).status_code == makes
