"""Standards that learn: what the clockings propose, adopted as a new edition or refused."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from django.db import transaction

from costing.core.money import ZERO
from costing.models import LabourFit, LearnedCell, RefusedProposal
from costing.models.labour import LEAST_CHANGE
from costing.services.clocked import Cells, rows_by_cell
from costing.services.learning import ask_to_learn, fit_of
from orders.core.errors import NotNow, RuleBroken
from orders.core.times import Method, StandardTime
from orders.models import StandardEdition
from orders.services.standards import new_edition, times_of
from shop.models import User, Workshop

MOST_NOTE = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """A row of the standard times as it is and as it is proposed; why stands in the cell.

    `coming` is the day from which an edition that is already made says something new of the row.
    """

    cell: LearnedCell
    old: StandardTime
    new: StandardTime
    coming: date | None = None


def proposals(workshop: Workshop) -> tuple[Proposal, ...]:
    """What the newest fit proposes, the dearest for this year first; five queries.

    A row is proposed where its 80 % interval leaves the standard out and the change is more than
    a tenth. What was refused stays away until the clockings say something else by a tenth.
    """
    fit = fit_of(workshop)
    if fit is None:
        return ()
    now = rows_by_cell(times_of(fit.edition))
    latest: StandardEdition = StandardEdition.objects.of(workshop).order_by("-number")[0]
    later = rows_by_cell(times_of(latest))
    refused = {
        (one.joint, one.operation, one.method): one.ratio
        for one in RefusedProposal.objects.filter(edition=fit.edition)
    }
    found = [
        one
        for cell in fit.cells.all()
        if cell.is_worth_proposing and not _is_refused(cell, refused)
        for one in _proposal(cell, fit, now, later, latest)
    ]
    return tuple(sorted(found, key=lambda one: abs(one.cell.year_effect or ZERO), reverse=True))


@transaction.atomic
def adopt(
    workshop: Workshop,
    cells: Iterable[int],
    *,
    valid_from: date,
    by: User | None,
    note: str = "",
) -> StandardEdition:
    """Make the next edition of the standard times with the proposals of these cells.

    Quotes and released operations keep the minutes they have. Raises NotNow where a proposal is no
    longer one, RuleBroken without any and for a day before the latest edition's.
    """
    chosen = _chosen(workshop, cells)
    note = note or f"Learned from the clockings: {len(chosen)} changed"
    edition = new_edition(
        workshop, [one.new for one in chosen], valid_from=valid_from, by=by, note=note
    )
    ask_to_learn(workshop, by=by)
    return edition


@transaction.atomic
def refuse(
    workshop: Workshop, cells: Iterable[int], *, by: User | None, at: datetime, note: str = ""
) -> int:
    """Leave the standards of these cells as they are; how many.

    Raises as `adopt` does.
    """
    if len(note) > MOST_NOTE:
        raise RuleBroken("note", f"Write at most {MOST_NOTE} characters.")
    chosen = _chosen(workshop, cells)
    for one in chosen:
        cell = one.cell
        RefusedProposal.objects.update_or_create(
            edition=cell.fit.edition,
            joint=cell.joint,
            operation=cell.operation,
            method=cell.method,
            defaults={"ratio": cell.each_ratio, "note": note.strip(), "by": by, "at": at},
        )
    return len(chosen)


def _chosen(workshop: Workshop, cells: Iterable[int]) -> Sequence[Proposal]:
    Workshop.objects.select_for_update().get(pk=workshop.pk)
    wanted = set(cells)
    if not wanted:
        raise RuleBroken("cells", "Tick at least one proposal.")
    chosen = [one for one in proposals(workshop) if one.cell.pk in wanted and not one.coming]
    if len(chosen) < len(wanted):
        raise NotNow("The proposals have changed meanwhile. Look at them again.")
    return chosen


def _proposal(
    cell: LearnedCell, fit: LabourFit, now: Cells, later: Cells, latest: StandardEdition
) -> Iterator[Proposal]:
    """The proposal of a cell; none where the cell has no row of its own, as driving a screw."""
    key = cell.joint, cell.operation, Method(cell.method)
    old = now.get(key)
    if old is None:
        return
    is_changed = later[key] is not old and _minutes(later[key]) != _minutes(old)
    yield Proposal(
        cell=cell,
        old=old,
        new=_scaled(old, cell, fit),
        coming=latest.valid_from if is_changed else None,
    )


def _scaled(old: StandardTime, cell: LearnedCell, fit: LabourFit) -> StandardTime:
    """The row with its minutes as learned; the set-up only where it is sure of its own."""
    return replace(
        old,
        setup_min=round(old.setup_min * cell.new_setup_ratio, 2),
        each_min=round(old.each_min * cell.each_ratio, 3),
        per_driver=float(f"{old.per_driver * cell.each_ratio:.4g}"),
        source=f"learned from {cell.clockings} clockings up to {fit.last_day}",
    )


def _is_refused(cell: LearnedCell, refused: dict[tuple[str, str, str], float]) -> bool:
    ratio = refused.get((cell.joint, cell.operation, cell.method))
    return ratio is not None and abs(cell.each_ratio / ratio - 1) <= LEAST_CHANGE


def _minutes(row: StandardTime) -> tuple[float, float, float]:
    return row.setup_min, row.each_min, row.per_driver
