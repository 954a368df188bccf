"""What-ifs of a commission: kept under their names, priced side by side, adopted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from functools import partial

from django.db import transaction
from pydantic import TypeAdapter

from costing.core.breakdown import ExtraKind
from costing.core.estimate import Estimate, Pricing
from costing.core.finish import SupposedFinish, finished_with
from costing.core.lead_time import LeadTime
from costing.core.learning import LOWEST_SLOPE
from costing.core.pricing import EXPECTED, PriceBasis
from costing.core.quantity import LEARNING_SLOPE, QuantityBreak, quantity_breaks
from costing.models import WhatIf
from costing.services.estimating import Basis, Books, Own, priced
from costing.services.extra_costs import add_extra_cost, remove_extra_cost
from costing.services.lead_times import queue_of
from costing.services.price_setting import learn, price_set, pricing_of, require_priced, set_price
from orders.core.errors import NotNow, RuleBroken, RulesBroken, WorkshopError
from orders.core.supposition import Supposition
from orders.models import Commission
from orders.services import supposing
from orders.services.holding import fresh, hold_open
from orders.services.rows import Rows

SUPPOSITION = TypeAdapter(Supposition)
FINISH = TypeAdapter(SupposedFinish)
MOST = 8
LONGEST_NAME = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One column of the comparison: an estimate, or the sentence that says why there is none.

    `what_if` is None for the commission as it stands.
    """

    what_if: WhatIf | None
    words: tuple[str, ...]
    quantity: int
    estimate: Estimate | None
    fault: str = ""
    lead: LeadTime | None = None

    @property
    def name(self) -> str:
        """What the column is called."""
        return self.what_if.name if self.what_if else "As it stands"


def supposed(what_if: WhatIf) -> Supposition:
    """What is supposed."""
    return SUPPOSITION.validate_python(what_if.supposed)


def finish_of(what_if: WhatIf) -> SupposedFinish | None:
    """The finish that is supposed, if another is."""
    return FINISH.validate_python(what_if.finish) if what_if.finish else None


def words_of(what_if: WhatIf) -> tuple[str, ...]:
    """What is supposed, a phrase each."""
    finish = finish_of(what_if)
    return (*supposed(what_if).words(), *([f"finish: {finish.label}"] if finish else []))


@transaction.atomic
def add_what_if(
    commission: Commission,
    *,
    name: str,
    supposition: Supposition,
    learning_slope: float = LEARNING_SLOPE,
    finish: SupposedFinish | None = None,
) -> WhatIf:
    """Keep an alternative under a name.

    Raises NotNow if the breakdown is frozen or there are too many, RulesBroken for a name that is
    taken or empty and for what cannot be supposed.
    """
    commission = hold_open(commission.pk)
    faults = [
        RuleBroken(f"supposed/{fault.field}".rstrip("/"), fault.message)
        for fault in supposition.faults()
        if fault.field or finish is None
    ]
    if finish is not None:
        faults += [fault.under("finish") for fault in finish.faults()]
    taken = {row.name.casefold() for row in commission.what_ifs.all()}
    if len(taken) >= MOST:
        raise NotNow(f"{commission.mark} has {MOST} alternatives; remove one first.")
    name = " ".join(name.split())
    if not name or len(name) > LONGEST_NAME:
        faults.append(RuleBroken("name", f"Give it a name of at most {LONGEST_NAME} letters."))
    elif name.casefold() in taken:
        faults.append(RuleBroken("name", f"There is a “{name}” already; give another name."))
    if not LOWEST_SLOPE <= learning_slope <= 1:
        faults.append(RuleBroken("learning_slope", "Give a share from 0.6 to 1; 1 is no learning."))
    if faults:
        raise RulesBroken(faults)
    row: WhatIf = WhatIf.objects.create(
        commission=commission,
        name=name,
        supposed=SUPPOSITION.dump_python(supposition, mode="json"),
        learning_slope=learning_slope,
        finish=FINISH.dump_python(finish, mode="json") if finish else {},
    )
    return row


@transaction.atomic
def remove_what_if(what_if: WhatIf, *, version: int | None = None) -> None:
    """Throw an alternative away; raises Stale if it was changed since `version`."""
    fresh(what_if, version).delete()


@transaction.atomic
def adopt_what_if(what_if: WhatIf, *, on: date) -> Commission:
    """Make the commission what the alternative supposes; the alternative is gone then.

    The price is reckoned again where it was set by hand, and learning over a quantity is kept.
    Raises NotNow if the breakdown is frozen or the client has answered, and as supposing does.
    """
    commission = hold_open(what_if.commission_id)
    require_priced(commission)
    what_if = fresh(what_if)
    supposition = supposed(what_if)
    if supposition != Supposition():
        supposing.adopt(commission, supposition, Books.of(commission.workshop, on).times)
    if finish := finish_of(what_if):
        _finish(commission, finish, supposition.quantity)
    learn(commission, times_over=supposition.quantity, slope=what_if.learning_slope)
    set_price(commission, reckoned(price_set(commission)))
    what_if.delete()
    return commission


def side_by_side(commission: Commission, on: date, now: datetime) -> tuple[Side, ...]:
    """The commission as it stands and each of its alternatives; rows and rates are read once.

    Raises NotReady if there are no rates or standard times at all.
    """
    books, rows = Books.of(commission.workshop, on), Rows.of(commission)
    queue = queue_of(commission.workshop, now, but=commission)
    own = Own.of(commission)
    pricing = reckoned(pricing_of(own.price))

    def side(what_if: WhatIf | None) -> Side:
        supposition = supposed(what_if) if what_if else Supposition()
        column = partial(
            Side,
            what_if=what_if,
            words=words_of(what_if) if what_if else (),
            quantity=supposition.quantity,
        )
        try:
            basis = basis_of(commission, books, rows, what_if, own)
            made = priced(basis, pricing if what_if else None)
        except WorkshopError as fault:
            return column(estimate=None, fault=fault.message)
        return column(estimate=made, lead=queue.lead_time(made.hours.p80))

    return tuple(side(what_if) for what_if in (None, *commission.what_ifs.all()))


def basis_of(
    commission: Commission, books: Books, rows: Rows, what_if: WhatIf | None, own: Own | None = None
) -> Basis:
    """What an alternative is priced from; raises as supposing does."""
    if what_if is None:
        return books.basis(commission, rows, own)
    supposition, taken = supposed(what_if), rows.copied()
    if supposition != Supposition():
        supposing.suppose(taken, supposition, books.times)
    basis = books.basis(
        commission, taken, own, times_over=supposition.quantity, slope=what_if.learning_slope
    )
    if finish := finish_of(what_if):
        finished = finished_with(basis.commission, finish, supposition.quantity)
        return replace(basis, commission=finished)
    return basis


def _finish(commission: Commission, finish: SupposedFinish, times_over: int) -> None:
    """Let the commission have this finish and no other."""
    for row in commission.extra_costs.filter(kind=ExtraKind.FINISH.value):
        remove_extra_cost(row)
    add_extra_cost(
        commission,
        kind=ExtraKind.FINISH.value,
        label=finish.label,
        unit_price=finish.net,
        quantity=Decimal(times_over),
    )


def reckoned(pricing: Pricing) -> Pricing:
    """A price that follows what is made: one set by hand is for the work as it stood."""
    return EXPECTED if pricing.basis is PriceBasis.HAND else pricing


def quantities(
    commission: Commission, on: date, numbers: Sequence[int], *, slope: float = LEARNING_SLOPE
) -> tuple[QuantityBreak, ...]:
    """The whole commission so many times over; raises RulesBroken naming "quantities/<place>"."""
    books = Books.of(commission.workshop, on)
    basis = books.basis(commission, Rows.of(commission))
    return quantity_breaks(
        basis.commission,
        basis.rates,
        basis.rack,
        numbers,
        learning_slope=slope,
        pricing=reckoned(basis.pricing),
    )
