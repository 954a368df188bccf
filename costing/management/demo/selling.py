"""From order file to quote and answer, each on its day."""

from collections.abc import Iterator
from datetime import datetime

from costing.documents.quotation import quotation_pdf
from costing.management.demo.figures import order_file
from costing.management.demo.story import Chapter
from costing.management.demo.working_days import WorkingDays
from costing.services.quotes import accept, decline, draft_quote, issue
from orders.core.stages import Stage
from orders.models import Commission
from orders.services.commissions import move
from orders.services.orderfile import import_order
from shop.models import User, Workshop


def sell(workshop: Workshop, chapter: Chapter, days: WorkingDays, *, by: User) -> Commission:
    """Take the commission on, quote it as often as the story says, and hear the answer."""
    commission = import_order(workshop, dict(_document(chapter, days)), by=by)
    enquired_at = days.at(chapter.enquired, 11)
    Commission.objects.filter(pk=commission.pk).update(created_at=enquired_at)
    quote = None
    for number in chapter.revisions:
        at = days.at(number, 16)
        draft = draft_quote(commission, by=by, on=days.day(number))
        quote = issue(draft, by=by, at=at, paper=quotation_pdf)
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
