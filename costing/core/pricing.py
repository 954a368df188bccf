"""How the offered price is set: from what is expected and the profit asked, from P80, or by hand."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from costing.core.distribution import Distribution
from costing.core.lines import Draft, Line
from costing.core.money import rounded_to
from costing.core.rates import Profit, ProfitBasis, RateBook
from costing.core.workings import percent, plain
from orders.core.errors import RuleBroken


class PriceBasis(StrEnum):
    """What the price starts from."""

    EXPECTED = "expected"
    P80 = "p80"
    HAND = "hand"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pricing:
    """What the price starts from; `net` is the price set by hand, and only then.

    `profit` is what is asked for on this work in place of the rate book's; a price set by hand
    asks for none.
    """

    basis: PriceBasis = PriceBasis.EXPECTED
    net: Decimal | None = None
    profit: Profit | None = None

    def faults(self) -> list[RuleBroken]:
        """What is wrong with these figures."""
        if self.profit is not None and (faults := self.profit.faults()):
            return [fault.under("profit") for fault in faults]
        if self.basis is PriceBasis.HAND:
            if self.profit is not None:
                return [RuleBroken("profit", "A price set by hand leaves the profit it leaves.")]
            if self.net is None or not self.net.is_finite() or self.net < 0:
                return [RuleBroken("net", "Give the net price that is to be offered, 0 or more.")]
        elif self.net is not None:
            return [RuleBroken("net", "This price is reckoned; set it by hand to give your own.")]
        return []


EXPECTED = Pricing()


def reserve_line(cost: Decimal, expected: Distribution, pricing: Pricing, rates: RateBook) -> Line:
    """What is put by for what may go wrong: the contingency asked for, or all up to P80."""
    if pricing.basis is PriceBasis.P80:
        reserve = Decimal(repr(max(0.0, expected.cautious - float(cost))))
        words = f"P80 of cost, {expected.cautious:.2f}, less cost {plain(cost, rates.currency)}"
        return Draft("contingency", "Reserve up to P80", words, reserve).printed(rates.currency)
    words = f"{percent(rates.contingency)} of cost {plain(cost, rates.currency)}"
    share = Draft("contingency", "Contingency", words, cost * rates.contingency)
    return share.printed(rates.currency)


def profit_line(base: Decimal, pricing: Pricing, rates: RateBook) -> Line:
    """The profit asked for on cost and reserve, or what a price set by hand leaves."""
    cost = plain(base, rates.currency)
    profit = pricing.profit or rates.profit
    if pricing.basis is PriceBasis.HAND and pricing.net is not None:
        words = f"price {plain(pricing.net, rates.currency)} set by hand, less cost {cost}"
        exact = pricing.net - base
    elif profit.basis is ProfitBasis.MARKUP:
        words = f"{percent(profit.share)} of cost {cost}"
        exact = base * profit.share
    else:
        words = (
            f"{percent(profit.share)} of price, which is {percent(profit.markup)} on cost {cost}"
        )
        exact = base / (1 - profit.share) - base
    return Draft("profit", "Profit", words, exact).printed(rates.currency)


def rounding_line(net: Decimal, pricing: Pricing, rates: RateBook) -> Line:
    """What brings a reckoned price to the step that prices are offered in."""
    step = rates.rounding if pricing.basis is not PriceBasis.HAND else Decimal(0)
    words = f"price to the nearest {plain(step, rates.currency)}"
    exact = rounded_to(net, step, rates.currency) - net
    return Draft("rounding", "Rounding", words, exact).printed(rates.currency)
