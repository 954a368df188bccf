"""Invoices of what was agreed: gapless, in order, to the cent, taken back by credit notes."""

from decimal import Decimal

import facturx
import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from costing.core.arrangement import Arrangement, AskedAdjustment, AskedOption
from costing.core.invoice import InvoiceKind
from costing.core.offer import StageShare
from costing.documents.invoice import invoice_of_workshop
from costing.models import Invoice
from costing.services.invoices import (
    accepted_quote,
    issue_invoice,
    payments,
    said_of,
    take_back,
)
from costing.services.quotes import accept, arrange, draft_quote, issue
from orders.core.errors import NotNow, NotReady, RuleBroken
from tests.builders import a_commission, a_joint, a_shop_that_can_price, an_assembly
from tests.population import NAMED

pytestmark = pytest.mark.django_db
D = Decimal
THREE = tuple(StageShare(label=f"Payment {p}", percent=D(p)) for p in (40, 35, 25))


def nothing(said, workshop):
    """A printer that is quick."""
    return b"%PDF-"


def plain_paper(quote, said):
    return b"%PDF-"


def accepted(shop, *, stages=THREE, options=(), take=()):
    """An accepted quote with a discount, paid in stages."""
    commission = a_commission(shop)
    a_joint(an_assembly(commission))
    now, today = timezone.now(), timezone.localdate()
    draft = draft_quote(commission, by=None, on=today)
    arrangement = Arrangement(
        adjustments=(AskedAdjustment(label="Friend", figure=D("-7.77")),),
        stages=stages,
        options=options,
    )
    draft = arrange(draft, arrangement, valid_until=draft.valid_until, terms="", on=today)
    quote = issue(draft, by=None, at=now, paper=plain_paper)
    return accept(quote, name="A. Byrne", by=None, at=now, options=take)


@pytest.fixture
def shop(db):
    return a_shop_that_can_price(**NAMED)


def bill(quote, **more):
    return issue_invoice(quote, by=None, at=timezone.now(), paper=nothing, **more)


def test_the_payments_are_invoiced_in_turn_and_come_to_what_was_agreed(shop):
    quote = accepted(shop)
    issued = [bill(quote) for _ in THREE]

    assert [row.number for row in issued] == [1, 2, 3]
    assert [row.kind for row in issued] == ["advance", "advance", "final"]
    assert sum(row.due for row in issued) == quote.gross
    last = said_of(issued[-1])
    assert [one.number for one in last.earlier] == [row.mark for row in issued[:2]]
    assert last.totals.gross == quote.gross
    assert last.totals.prepaid == issued[0].due + issued[1].due
    with pytest.raises(NotNow, match="Every payment"):
        bill(quote)


def test_options_that_were_taken_are_invoiced(shop):
    quote = accepted(
        shop, stages=(), options=(AskedOption(label="Drawer", net=D(120)),), take=["option-1"]
    )
    said = said_of(bill(quote, days_to_pay=0))

    assert said.lines[-1].label == "Drawer"
    assert said.totals.net == quote.net + 120
    assert said.due_on == said.issued_on


def test_a_wrong_invoice_is_taken_back_and_issued_anew(shop):
    quote = accepted(shop)
    first = bill(quote)
    credit = take_back(first, by=None, at=timezone.now(), paper=nothing)
    again = bill(quote)

    assert (credit.mark[-4:], again.mark[-4:]) == ("0002", "0003")
    assert credit.kind == InvoiceKind.CREDIT
    assert credit.due == first.due == again.due
    assert said_of(credit).takes_back.number == first.mark
    assert [p.invoice for p in payments(quote)] == [again, None, None]
    for row in (first, credit):
        with pytest.raises(NotNow, match="cannot be taken back"):
            take_back(row, by=None, at=timezone.now(), paper=nothing)


def test_an_invoice_that_a_later_one_counts_on_stays(shop):
    quote = accepted(shop)
    first, second = bill(quote), bill(quote)

    with pytest.raises(NotNow, match=f"{second.mark} counts on this one"):
        take_back(first, by=None, at=timezone.now(), paper=nothing)


def test_two_who_see_the_same_payment_invoice_it_once(shop):
    quote = accepted(shop)
    bill(quote, stage=1)

    with pytest.raises(NotNow, match="Somebody invoiced this payment"):
        bill(quote, stage=1)
    copy = Invoice.objects.get()
    copy.pk, copy.number = None, 99
    with pytest.raises(IntegrityError), transaction.atomic():
        copy.save()


def test_what_an_invoice_must_name_is_asked_for(db):
    shop = a_shop_that_can_price()
    quote = accepted(shop)

    with pytest.raises(NotReady, match=r"address.*country"):
        bill(quote)
    assert not Invoice.objects.exists()


def test_only_what_was_agreed_is_invoiced(shop):
    commission = a_commission(shop)
    a_joint(an_assembly(commission))
    draft = draft_quote(commission, by=None, on=timezone.localdate())

    assert accepted_quote(commission) is None
    with pytest.raises(NotNow, match="was not accepted"):
        bill(draft)
    with pytest.raises(RuleBroken):
        bill(draft, days_to_pay=-1)


def test_each_workshop_counts_for_itself(shop):
    bill(accepted(shop))
    other = a_shop_that_can_price(**NAMED)

    assert bill(accepted(other)).number == 1


def test_the_paper_holds_its_data(shop):
    quote = accepted(shop, stages=())

    issued = issue_invoice(quote, by=None, at=timezone.now(), paper=invoice_of_workshop)

    name, data = facturx.get_xml_from_pdf(bytes(issued.pdf), check_xsd=True)
    assert name == "factur-x.xml"
    assert issued.mark.encode() in data
