"""Estimates and quotes through the API: price, draft, issue, answer, print."""

import hashlib
from decimal import Decimal

import pytest
from django.utils import timezone

from costing.models import Quote
from costing.services.estimating import estimate_for
from orders.core.stages import Stage
from tests.builders import a_commission, a_joint, a_shop_that_can_price, a_workshop, an_assembly


@pytest.fixture
def commission(workshop):
    found = a_commission(workshop)
    a_joint(an_assembly(found))
    return found


def drafted(program, commission):
    made = program.post("quotes/", {"commission": commission.pk})
    assert made.status_code == 201, made.content
    return made.json()["id"]


def test_an_estimate_unfolds_to_its_minutes(program, commission):
    said = program.get(f"commissions/{commission.pk}/estimate/").json()

    known = estimate_for(commission, timezone.localdate())
    assert said["net"] == str(known.net)
    assert sum(Decimal(line["amount"]) for line in said["lines"]) == known.net
    line = next(line for line in said["lines"] if line["key"] == "labour")
    while line["children"]:
        line = line["children"][0]
    assert " min" in line["make_up"]
    assert said["hours"]["p50"] <= said["hours"]["p80"] <= said["hours"]["p90"]
    assert [share["label"] for share in said["assemblies"]]


def test_an_estimate_may_be_of_another_day(program, commission):
    place = f"commissions/{commission.pk}/estimate/"

    assert program.get(place, on="2026-02-30").json()["errors"][0]["pointer"] == "#/on"
    assert program.get(place, on="soon").status_code == 400
    assert program.get(place, on="1999-01-01").status_code == 409
    assert program.get(place, on="2026-06-01").status_code == 200


def test_a_quote_is_drafted_issued_printed_and_accepted(program, commission):
    pk = drafted(program, commission)
    draft = program.get(f"quotes/{pk}/paper/")
    assert draft["Content-Type"] == "application/pdf"

    issued = program.post(f"quotes/{pk}/issue/", {"valid_until": "2099-01-01"}).json()
    assert (issued["state"], issued["valid_until"]) == ("issued", "2099-01-01")
    paper = program.get(f"quotes/{pk}/paper/")
    assert paper.content.startswith(b"%PDF")
    assert hashlib.sha256(paper.content).hexdigest() == issued["pdf_sha256"]

    accepted = program.post(f"quotes/{pk}/accept/", {"name": "A. Byrne"}).json()
    assert (accepted["state"], accepted["decided_by"]) == ("accepted", "A. Byrne")
    commission.refresh_from_db()
    assert commission.stage == Stage.ACCEPTED


def test_what_a_quote_says_adds_up(program, commission):
    pk = drafted(program, commission)
    row = program.get(f"quotes/{pk}/").json()
    said = program.get(f"quotes/{pk}/quotation/").json()
    made_from = program.get(f"quotes/{pk}/estimate/").json()

    assert sum(Decimal(item["net"]) for item in said["items"]) == Decimal(row["net"])
    assert Decimal(row["net"]) + Decimal(row["tax"]) == Decimal(row["gross"])
    assert made_from["net"] == said["net"] == row["net"]
    assert program.get(f"quotes/{pk}/estimate/again/").json() == made_from


def test_a_quote_may_be_declined(program, commission):
    pk = drafted(program, commission)
    program.post(f"quotes/{pk}/issue/")

    assert program.post(f"quotes/{pk}/decline/", {"name": "A. Byrne"}).json()["state"] == "declined"


def test_steps_out_of_order_are_conflicts(program, commission):
    pk = drafted(program, commission)

    assert program.post(f"quotes/{pk}/accept/", {"name": "A. Byrne"}).status_code == 409
    program.post(f"quotes/{pk}/issue/")
    assert program.post(f"quotes/{pk}/issue/").status_code == 409


def test_a_step_with_values_that_make_no_sense_is_refused(program, commission):
    pk = drafted(program, commission)

    assert program.post(f"quotes/{pk}/issue/", {"valid_until": "2001-01-01"}).status_code == 400
    program.post(f"quotes/{pk}/issue/")
    assert program.post(f"quotes/{pk}/accept/", {"name": "  "}).status_code == 400


def test_a_repeat_with_the_same_key_drafts_once(program, commission):
    body = {"commission": commission.pk}
    first = program.post("quotes/", body, key="once")
    program.post(f"quotes/{first.json()['id']}/issue/")

    assert program.post("quotes/", body, key="once").json() == first.json()
    assert Quote.objects.count() == 1


def test_what_cannot_be_priced_is_not_quoted(program):
    bare = a_workshop()
    empty = a_commission(bare)

    assert program.post("quotes/", {"commission": empty.pk}).status_code == 400
    assert program.get(f"commissions/{empty.pk}/estimate/").status_code == 404


def test_a_commission_without_anything_in_it_has_nothing_to_quote(program, workshop):
    refused = program.post("quotes/", {"commission": a_commission(workshop).pk})

    assert refused.status_code == 409
    assert "nothing to quote" in refused.json()["detail"]


def test_quotes_are_filtered_and_few_queries_read_them(
    program, workshop, django_assert_num_queries
):
    for _ in range(4):
        other = a_commission(workshop)
        a_joint(an_assembly(other))
        pk = drafted(program, other)
    program.post(f"quotes/{pk}/issue/")

    with django_assert_num_queries(3):
        assert program.get("quotes/").json()["count"] == 4
    assert program.get("quotes/", state="issued").json()["count"] == 1
    assert program.get("quotes/", commission=other.pk).json()["count"] == 1


def test_a_foreign_quote_is_not_there(program_of, commission, program):
    pk = drafted(program, commission)
    stranger = program_of(shop=a_shop_that_can_price())

    assert stranger.get(f"quotes/{pk}/").status_code == 404
    assert stranger.get(f"quotes/{pk}/paper/").status_code == 404
    assert stranger.post(f"quotes/{pk}/issue/").status_code == 404


@pytest.mark.parametrize("role", ["foreman", "hand"])
def test_who_sees_no_prices_sees_none_here(program_of, program, commission, role):
    pk = drafted(program, commission)
    asking = program_of(role)

    for place in (
        "quotes/",
        f"quotes/{pk}/",
        f"quotes/{pk}/paper/",
        f"quotes/{pk}/quotation/",
        f"quotes/{pk}/estimate/",
        f"commissions/{commission.pk}/estimate/",
    ):
        assert asking.get(place).status_code == 403, place


def test_a_refused_paper_is_still_a_problem_document(program):
    refused = program.client.get(
        "/api/v1/quotes/999999/paper/", headers={"Accept": "application/pdf"}
    )

    assert refused.status_code == 404
    assert refused["Content-Type"] == "application/problem+json"
    assert refused.json()["status"] == 404


def test_a_draft_is_arranged_by_a_program(program, commission):
    pk = drafted(program, commission)
    place = f"quotes/{pk}/arrangement/"
    etag = program.get(place)["ETag"]
    said = {
        "adjustments": [{"label": "Delivery", "figure": "50.00"}],
        "stages": [{"label": "All", "percent": "100"}],
    }
    net = Decimal(program.get(f"quotes/{pk}/").json()["net"])

    done = program.put(place, said, etag=etag)

    assert done.status_code == 200
    assert done.json()["adjustments"][0]["label"] == "Delivery"
    assert Decimal(program.get(f"quotes/{pk}/").json()["net"]) == net + 50
    assert program.put(place, said, etag=etag).status_code == 412
    wrong = program.put(place, {"stages": [{"label": "x", "percent": "50"}]}, etag=done["ETag"])
    assert wrong.status_code == 400
    assert wrong.json()["errors"][0]["pointer"] == "#/stages"
