"""What one costs when several are made: set-ups are shared, and hands learn within the batch."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from costing.core.breakdown import EstimateInput
from costing.core.estimate import Estimate, estimate
from costing.core.learning import batch_factor
from costing.core.money import ZERO, rounded
from costing.core.pricing import EXPECTED, Pricing
from costing.core.rack import Rack
from costing.core.rates import RateBook
from orders.core.errors import RuleBroken, RulesBroken

LEARNING_SLOPE = 0.95
"""Each doubling of how often it is made brings the time of the next down to this share.

A starting value for a joiner who knows the joint; invented, to be replaced by what is learned.
"""

MOST_OFF = 10_000


@dataclass(frozen=True, slots=True, kw_only=True)
class QuantityBreak:
    """The whole commission so many times over: its estimate, and what one of it comes to."""

    quantity: int
    estimate: Estimate
    net_each: Decimal
    hours_each: float


def quantity_breaks(
    commission: EstimateInput,
    rates: RateBook,
    rack: Rack,
    quantities: Sequence[int] = (1, 5, 20),
    *,
    learning_slope: float = LEARNING_SLOPE,
    pricing: Pricing = EXPECTED,
) -> tuple[QuantityBreak, ...]:
    """The commission made once, five and twenty times in one go, or as often as is asked.

    What stands for the whole commission, such as its delivery, is not multiplied. Raises
    RulesBroken, naming "quantities/<place>", for a number that makes no sense, and as `estimate`
    does.
    """
    faults = [
        RuleBroken(f"quantities/{place}", f"Give a whole number from 1 to {MOST_OFF:,}.")
        for place, quantity in enumerate(quantities)
        if not 1 <= quantity <= MOST_OFF
    ]
    if faults:
        raise RulesBroken(faults)
    return tuple(
        _break(multiplied(commission, quantity, learning_slope), quantity, rates, rack, pricing)
        for quantity in quantities
    )


def multiplied(
    commission: EstimateInput, quantity: int, learning_slope: float = LEARNING_SLOPE
) -> EstimateInput:
    """The commission so many times over, as one batch; once over it is what it was."""
    if quantity == 1:
        return commission
    more = tuple(
        replace(assembly, quantity=assembly.quantity * quantity)
        for assembly in commission.assemblies
    )
    return learnt(replace(commission, assemblies=more), quantity, learning_slope)


def learnt(commission: EstimateInput, repeats: int, learning_slope: float) -> EstimateInput:
    """The minutes of a commission that is one piece of work made so many times over.

    The standard holds for the first time; the others follow by Crawford's unit theory, so that
    each costs less than the one before it, and setting up is not learnt.
    """
    share = batch_factor(repeats, learning_slope) / repeats
    if share == 1:
        return commission
    return replace(
        commission,
        operations=tuple(
            replace(line, learnt=line.learnt * share) for line in commission.operations
        ),
    )


def _break(
    commission: EstimateInput, quantity: int, rates: RateBook, rack: Rack, pricing: Pricing
) -> QuantityBreak:
    priced = estimate(commission, rates, rack, pricing)
    return QuantityBreak(
        quantity=quantity,
        estimate=priced,
        net_each=rounded(priced.net / quantity, rates.currency) if priced.net else ZERO,
        hours_each=priced.hours.mean / quantity,
    )
