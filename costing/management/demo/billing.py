"""Invoices for what was agreed, each on its day."""

from collections.abc import Iterable

from costing.documents.invoice import invoice_of_workshop
from costing.management.demo.story import Chapter
from costing.management.demo.working_days import WorkingDays
from costing.services.invoices import accepted_quote, issue_invoice
from orders.models import Commission
from shop.models import User


def bill(sold: Iterable[tuple[Chapter, Commission]], days: WorkingDays, *, by: User) -> None:
    """Send the invoices of the story in the order of their days."""
    sent = sorted((day, order.pk) for chapter, order in sold for day in chapter.invoiced)
    orders = {order.pk: order for _, order in sold}
    for day, pk in sent:
        quote = accepted_quote(orders[pk])
        if quote is not None:
            issue_invoice(quote, by=by, at=days.at(day, 17), paper=invoice_of_workshop)
