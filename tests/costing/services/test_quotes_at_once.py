"""Two estimators, or an estimator and the client, at the same moment."""

import pytest
from django.utils import timezone

from costing.models import Invoice, Quote
from costing.services import quote_links
from costing.services.invoices import issue_invoice
from costing.services.quotes import accept, draft_quote, issue
from orders.core.errors import NotNow
from tests.builders import a_commission, a_joint, a_shop_that_can_price, an_assembly
from tests.costing.services.test_invoices import NAMED, accepted, nothing, plain_paper
from tests.shop.test_worker import in_threads

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def shop():
    return a_shop_that_can_price(**NAMED)


@pytest.fixture
def commission(shop):
    commission = a_commission(shop)
    a_joint(an_assembly(commission))
    return commission


def kinds(found):
    """What came of each try."""
    return sorted(type(one).__name__ for one in found)


def test_two_who_draft_make_one_draft(commission):
    found = in_threads(3, lambda _: draft_quote(commission, by=None, on=timezone.localdate()))

    assert kinds(found) == ["Quote"] * 3
    assert commission.quotes.count() == 1


def test_two_who_issue_issue_once(commission):
    draft = draft_quote(commission, by=None, on=timezone.localdate())
    now = timezone.now()

    found = in_threads(3, lambda _: issue(draft, by=None, at=now, paper=plain_paper))

    assert kinds(found) == ["NotNow", "NotNow", "Quote"]
    assert Quote.objects.get().state == Quote.State.ISSUED


def test_the_client_and_the_office_answer_once(commission):
    now = timezone.now()
    draft = draft_quote(commission, by=None, on=timezone.localdate())
    quote = issue(draft, by=None, at=now, paper=plain_paper)
    link, _ = quote_links.make_link(quote, by=None, at=now)
    tries = [
        lambda: quote_links.accept(link, name="Ada", at=now),
        lambda: accept(quote, name="Tobias", by=None, at=now),
        lambda: quote_links.decline(link, name="Ada", at=now),
    ]

    found = in_threads(3, lambda number: tries[number]())

    assert kinds(found) == ["NotNow", "NotNow", "Quote"]
    commission.refresh_from_db()
    assert commission.moves.filter(to_stage="accepted").count() <= 1


def test_invoices_of_many_orders_at_once_are_numbered_without_a_gap(shop):
    quotes = [accepted(shop, stages=()) for _ in range(4)]
    now = timezone.now()

    found = in_threads(
        8, lambda number: issue_invoice(quotes[number // 2], by=None, at=now, paper=nothing)
    )

    assert sum(isinstance(one, NotNow) for one in found) == 4
    assert sorted(Invoice.objects.values_list("number", flat=True)) == [1, 2, 3, 4]
