"""Invoices through the API."""

import pytest

from tests.costing.services.test_invoices import NAMED, accepted


@pytest.fixture
def quote(workshop):
    for name, value in NAMED.items():
        setattr(workshop, name, value)
    workshop.save()
    return accepted(workshop)


def test_an_invoice_is_issued_read_and_taken_back(program, quote):
    issued = program.post("invoices/", {"quote": quote.pk, "days_to_pay": 7})
    assert issued.status_code == 201
    row = issued.json()
    place = f"invoices/{row['id']}"

    assert program.get(f"{place}/content/").json()["totals"]["due"] == row["due"]
    assert program.get(f"{place}/paper/").content.startswith(b"%PDF")
    assert b"CrossIndustryInvoice" in program.get(f"{place}/data/").content
    credit = program.post(f"{place}/credit/")
    assert (credit.status_code, credit.json()["takes_back"]) == (201, row["id"])
    assert program.post(f"{place}/credit/").status_code == 409
    assert program.get("invoices/", kind="credit").json()["count"] == 1


def test_what_was_not_agreed_is_a_problem_with_a_pointer(program, quote):
    refused = program.post("invoices/", {"quote": quote.pk, "days_to_pay": 999})

    assert refused.status_code == 400
    assert refused.json()["errors"][0]["pointer"] == "#/days_to_pay"
    assert program.post("invoices/", {"quote": 0}).status_code == 400


def test_a_list_is_ordered_by_what_is_stored_and_by_nothing_else(program, quote):
    for _ in range(3):
        program.post("invoices/", {"quote": quote.pk})

    def stages(ordering):
        rows = program.get("invoices/", ordering=ordering).json()["results"]
        return [row["stage"] for row in rows]

    assert stages("-due") == [1, 2, 3]
    assert stages("mark") == stages("nothing") == [3, 2, 1]
    edition = quote.standard_edition_id
    assert program.get(f"standards/{edition}/rows/", ordering="joint").status_code == 200
