"""Patterns: a few sizes become an assembly of an order, which is then edited like any other."""

from __future__ import annotations

from collections.abc import Sequence

from django.db import transaction
from django.db.models import Max

from orders.core.orderfile import OrderAssembly
from orders.core.pattern import Piece
from orders.models import Assembly, Commission

from .extras import operations_of
from .holding import hold_open
from .order_intake import Planned, planned_rows, store
from .reading import Reader
from .standards import current_times
from .standing import keep_standing


@transaction.atomic
def add_made(
    commission: Commission,
    made: OrderAssembly,
    *,
    quantity: int = 1,
    parent: Assembly | None = None,
    pieces: Sequence[Piece] = (),
) -> Assembly:
    """Put what a pattern made into a commission, or into one of its assemblies.

    Where `pieces` say how it stands, it can be drawn as long as its parts keep their sizes.

    Raises NotNow if the breakdown is frozen, RuleBroken or RulesBroken for what breaks a rule.
    """
    hold_open(commission.pk)
    reader = Reader()
    known = operations_of(current_times(commission.workshop))
    above = Planned(parent, None) if parent else None
    planned = list(planned_rows(reader, [made], known, above))
    root = planned[0]
    root.row.quantity = reader.whole("quantity", quantity, "a quantity", most=9_999)
    reader.settle()
    beside = commission.assemblies.filter(parent=parent).aggregate(last=Max("position"))["last"]
    root.row.position = (beside or 0) + 1
    store(commission, planned)
    if pieces:
        keep_standing(root.row, pieces)
    added: Assembly = commission.assemblies.get(pk=root.row.pk)
    return added
