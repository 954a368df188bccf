"""Quotes on the screen: draft, issue, print, and the answer."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from costing.models import LabourRate, Quote
from costing.services.quotations import estimate_of, quotation_of, reckoned_again
from costing.services.what_ifs import add_what_if, side_by_side
from orders.core.stages import Stage
from orders.core.supposition import Supposition
from orders.core.times import Method
from orders.models import Joint
from tests.builders import a_commission, a_joint, a_workshop, an_assembly


@pytest.fixture
def draft(signed_in, commission):
    signed_in().post(reverse("quote-draft", args=[commission.pk]))
    return commission.quotes.get()


@pytest.fixture
def issued(signed_in, draft):
    signed_in().post(reverse("quote-issue", args=[draft.pk]), issue_form(draft))
    draft.refresh_from_db()
    return draft


def issue_form(quote, **more):
    return {"valid_until": quote.valid_until.isoformat(), "terms": "Paid in a month.", **more}


def test_a_draft_shows_what_would_be_offered(signed_in, draft):
    page = signed_in().get(draft.get_absolute_url()).content.decode()

    assert "Issue quote 0417-1" in page
    assert "still what this quote says" in page


def test_issuing_freezes_the_paper_and_moves_the_commission(signed_in, issued, commission):
    commission.refresh_from_db()
    assert issued.state == Quote.State.ISSUED
    assert issued.terms == "Paid in a month."
    assert commission.stage == Stage.QUOTED
    paper = signed_in().get(reverse("quote-pdf", args=[issued.pk]))
    assert paper.content == bytes(issued.pdf)
    assert paper.content.startswith(b"%PDF")


def test_an_issued_quote_says_how_far_the_estimate_has_moved(signed_in, issued):
    LabourRate.objects.update(per_hour=55)

    page = signed_in().get(issued.get_absolute_url()).content.decode()

    assert "The estimate has moved by" in page
    assert issued.pdf_sha256 in page


def test_a_draft_is_printed_as_a_draft(signed_in, draft):
    assert signed_in().get(reverse("quote-pdf", args=[draft.pk])).content.startswith(b"%PDF")


def test_a_validity_in_the_past_is_refused_beside_its_field(signed_in, draft):
    yesterday = timezone.localdate() - timedelta(days=1)

    answer = signed_in().post(
        reverse("quote-issue", args=[draft.pk]), issue_form(draft, valid_until=str(yesterday))
    )

    assert answer.status_code == 200
    assert "give a later one" in answer.content.decode()
    assert "Paid in a month." in answer.content.decode()
    draft.refresh_from_db()
    assert draft.state == Quote.State.DRAFT


def test_the_answer_needs_a_name(signed_in, issued):
    answer = signed_in().post(
        reverse("quote-answer", args=[issued.pk]), {"answer": "accept", "name": "  "}
    )

    assert "Give who gave the answer" in answer.content.decode()
    issued.refresh_from_db()
    assert issued.state == Quote.State.ISSUED


@pytest.mark.parametrize(
    ("answer", "state", "stage"),
    [
        ("accept", Quote.State.ACCEPTED, Stage.ACCEPTED),
        ("decline", Quote.State.DECLINED, Stage.QUOTED),
    ],
)
def test_an_answer_is_written_down(signed_in, issued, commission, answer, state, stage):
    signed_in().post(
        reverse("quote-answer", args=[issued.pk]), {"answer": answer, "name": "Ada Byrne"}
    )

    issued.refresh_from_db()
    commission.refresh_from_db()
    assert (issued.state, issued.decided_by, commission.stage) == (state, "Ada Byrne", stage)


def test_a_second_acceptance_is_refused(signed_in, issued):
    browser, form = signed_in(), {"answer": "accept", "name": "Ada"}
    browser.post(reverse("quote-answer", args=[issued.pk]), form)

    again = browser.post(reverse("quote-answer", args=[issued.pk]), form)

    assert "is accepted; it is not out" in again.content.decode()


def test_an_empty_commission_cannot_be_quoted(signed_in, workshop):
    empty = a_commission(workshop)

    answer = signed_in().post(reverse("quote-draft", args=[empty.pk]), follow=True)

    assert "There is nothing to quote yet" in answer.content.decode()
    assert not empty.quotes.exists()


def test_a_new_revision_supersedes_the_last(signed_in, issued, commission):
    browser = signed_in()
    browser.post(reverse("quote-draft", args=[commission.pk]))
    second = commission.quotes.get(revision=2)
    browser.post(reverse("quote-issue", args=[second.pk]), issue_form(second))

    issued.refresh_from_db()
    assert issued.state == Quote.State.SUPERSEDED
    page = browser.get(reverse("quotes", args=[commission.pk])).content.decode()
    assert page.count("0417-") >= 2


def test_a_quote_of_another_workshop_is_not_found(signed_in, issued):
    stranger = signed_in("owner", a_workshop())
    assert stranger.get(issued.get_absolute_url()).status_code == 404
    assert stranger.get(reverse("quote-pdf", args=[issued.pk])).status_code == 404


def test_queries_of_the_list_do_not_grow(
    signed_in, issued, commission, django_assert_max_num_queries
):
    browser = signed_in()
    for _ in range(3):
        browser.post(reverse("quote-draft", args=[commission.pk]))
        draft = commission.quotes.first()
        browser.post(reverse("quote-issue", args=[draft.pk]), issue_form(draft))

    with django_assert_max_num_queries(9):
        browser.get(reverse("quotes", args=[commission.pk]))


def rows(name, *said, kept=0):
    """The fields of a table of rows, as a page sends them."""
    sent = {f"{name}-TOTAL_FORMS": len(said), f"{name}-INITIAL_FORMS": kept}
    for number, row in enumerate(said):
        sent |= {f"{name}-{number}-{field}": value for field, value in row.items()}
    return sent


def offer(draft, **more):
    """What the page for arranging a draft sends."""
    item = {"key": next(iter(draft.content["reckoning"]["names"])), "label": "Hall bench"}
    return {
        "version": draft.version,
        "valid_until": draft.valid_until.isoformat(),
        "terms": "In a month.",
        "lead_days": "20",
        "lead_trigger": "the first payment",
        **rows("items", item, kept=1),
        **rows("adjustments", {"sign": "-1", "label": "Friend", "figure": "5", "unit": "percent"}),
        **rows("options", {"label": "Drawer", "net": "120"}),
        **rows("stages", {"label": "First", "percent": "40"}, {"label": "Last", "percent": "60"}),
        **more,
    }


def test_a_draft_is_arranged_and_stays_so_when_drafted_again(signed_in, draft, commission):
    browser, before = signed_in(), draft.net
    browser.post(reverse("quote-arrange", args=[draft.pk]), offer(draft))
    draft.refresh_from_db()
    arranged = draft.net, draft.gross
    browser.post(reverse("quote-draft", args=[commission.pk]))

    draft.refresh_from_db()
    assert (draft.net, draft.gross) == arranged
    assert draft.net == before - round(before * 5 / 100, 2)
    page = browser.get(draft.get_absolute_url()).content.decode()
    assert all(
        words in page for words in ("Hall bench", "Friend, 5 %", "Drawer", "20 working days")
    )
    page = browser.get(reverse("quote-arrange", args=[draft.pk])).content.decode()
    assert "Hall bench" in page
    assert "The work in hand fills a year" in page  # nobody works here yet


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        (rows("stages", {"label": "First", "percent": "40"}), "The stages add up to 40 %"),
        (rows("stages", {"label": "", "percent": "40"}), "Give payment."),
        (
            rows("adjustments", {"label": "All", "figure": "99999", "unit": "amount"}),
            "The discount is greater than what it is taken off",
        ),
        (rows("options", {"label": "Cheaper", "net": "-5"}), "An addition costs 0 or more"),
        ({"lead_trigger": ""}, "Say from when the days are counted."),
        ({"valid_until": "2001-01-01"}, "give a later one"),
        ({"version": "0"}, "Somebody changed this"),
    ],
)
def test_what_cannot_be_offered_is_refused_and_kept_as_typed(signed_in, draft, wrong, sentence):
    answer = signed_in().post(reverse("quote-arrange", args=[draft.pk]), offer(draft, **wrong))

    assert answer.status_code == 200
    page = answer.content.decode()
    assert sentence in page
    assert "In a month." in page
    draft.refresh_from_db()
    assert draft.arranged == {}


def test_what_is_issued_is_not_arranged(signed_in, issued):
    answer = signed_in().post(
        reverse("quote-arrange", args=[issued.pk]), offer(issued), follow=True
    )

    assert "is no draft" in answer.content.decode()
    issued.refresh_from_db()
    assert issued.arranged == {}


def test_the_next_revision_begins_as_the_last_was_arranged(signed_in, draft, commission):
    browser = signed_in()
    browser.post(reverse("quote-arrange", args=[draft.pk]), offer(draft))
    draft.refresh_from_db()
    browser.post(reverse("quote-issue", args=[draft.pk]), issue_form(draft))
    browser.post(reverse("quote-draft", args=[commission.pk]))

    second = commission.quotes.get(revision=2)
    assert second.arranged["stages"] == draft.arranged["stages"]
    assert second.net == draft.net


def test_a_draft_in_another_currency_is_not_issued(signed_in, draft, workshop):
    workshop.currency = "GBP"
    workshop.save()

    answer = signed_in().post(reverse("quote-issue", args=[draft.pk]), issue_form(draft))

    assert "the workshop reckons in GBP now" in answer.content.decode()


def test_an_issued_quote_is_reckoned_again_to_the_cent(signed_in, issued):
    LabourRate.objects.update(per_hour=99)
    Joint.objects.all().delete()

    assert reckoned_again(issued) == estimate_of(issued)
    page = signed_in().get(issued.get_absolute_url(), {"again": "yes"}).content.decode()
    assert "every figure is the same to the cent" in page


def test_a_draft_can_be_what_new_quotes_begin_with(signed_in, draft, workshop):
    browser = signed_in()
    browser.post(reverse("quote-arrange", args=[draft.pk]), offer(draft, usual="yes"))
    other = a_commission(workshop)
    a_joint(an_assembly(other))

    browser.post(reverse("quote-draft", args=[other.pk]))

    arranged = other.quotes.get().arranged
    assert [stage["label"] for stage in arranged["stages"]] == ["First", "Last"]
    assert (arranged["lead_days"], arranged["options"], arranged["adjustments"]) == (20, [], [])


def test_a_what_if_is_offered_as_an_alternative(signed_in, draft, commission):
    row = add_what_if(commission, name="By hand", supposition=Supposition(method=Method.HAND))
    browser, before = signed_in("estimator"), draft.net

    for _ in range(2):
        browser.post(reverse("what-if-offer", args=[row.pk]))

    draft.refresh_from_db()
    (option,) = quotation_of(draft).options
    stands, side = side_by_side(commission, timezone.localdate(), timezone.now())
    assert option.label == "By hand"
    assert option.net == side.estimate.net - stands.estimate.net != 0
    assert draft.net == before
    assert quotation_of(draft).taking([option.key]).net == side.estimate.net
