"""From order file to quote and answer, each on its day."""

from collections.abc import Iterator
from datetime import datetime

from costing.documents.quotation import quotation_of_quote
from costing.management.demo.figures import offer, order_file
from costing.management.demo.story import Chapter
from costing.management.demo.working_days import WorkingDays
from costing.models import Quote
from costing.services.extra_costs import add_extra_cost
from costing.services.price_setting import set_price
from costing.services.quotations import ARRANGEMENT
from costing.services.quotes import accept, arrange, decline, draft_quote, issue
from costing.services.what_ifs import add_what_if
from orders.core.pattern_book import all_patterns
from orders.core.stages import Stage
from orders.models import Commission
from orders.services.commissions import move
from orders.services.orderfile import import_order
from orders.services.patterns import add_made
from shop.models import User, Workshop


def sell(workshop: Workshop, chapter: Chapter, days: WorkingDays, *, by: User) -> Commission:
    """Take the commission on, quote it as often as the story says, and hear the answer."""
    commission = import_order(workshop, dict(_document(chapter, days)), by=by)
    if chapter.pattern:
        made = all_patterns()[chapter.pattern].of(**chapter.sizes).made()
        add_made(commission, made.assembly, pieces=made.pieces)
    enquired_at = days.at(chapter.enquired, 11)
    Commission.objects.filter(pk=commission.pk).update(created_at=enquired_at)
    set_price(commission, chapter.pricing)
    for cost in chapter.costs:
        add_extra_cost(commission, assembly=commission.assemblies.first(), **cost)
    for name, supposition in chapter.what_ifs.items():
        add_what_if(commission, name=name, supposition=supposition)
    quote = None
    for number in chapter.revisions:
        at = days.at(number, 16)
        draft = _arranged(draft_quote(commission, by=by, on=days.day(number)), chapter, days)
        quote = issue(draft, by=by, at=at, paper=quotation_of_quote)
        date_move(commission, at)
    if quote is not None and chapter.accepted is not None:
        at = days.at(chapter.accepted, 10)
        accept(quote, name=chapter.answered_by, by=by, at=at)
        date_move(commission, at)
    if quote is not None and chapter.declined is not None:
        at = days.at(chapter.declined, 10)
        decline(quote, name=chapter.answered_by, by=by, at=at)
        move(commission, Stage.DECLINED, by=by, note="Found one ready made")
        date_move(commission, at)
    return Commission.objects.get(pk=commission.pk)


def _arranged(draft: Quote, chapter: Chapter, days: WorkingDays) -> Quote:
    """The draft with what the estimator says beside the figures."""
    return arrange(
        draft,
        ARRANGEMENT.validate_python(offer(chapter.offer)),
        valid_until=draft.valid_until,
        terms=draft.terms,
        on=days.day(chapter.enquired),
    )


def date_move(commission: Commission, at: datetime) -> None:
    """Let the last move in the history of stages stand at the instant of the story."""
    last = commission.moves.order_by("-pk").first()
    if last is not None:
        commission.moves.filter(pk=last.pk).update(at=at)


def _document(chapter: Chapter, days: WorkingDays) -> Iterator[tuple[str, object]]:
    """The order file, with its due date counted from today."""
    yield from order_file(chapter.file).items()
    if chapter.due is not None:
        yield "due_on", days.day(chapter.due).isoformat()
