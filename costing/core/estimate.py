"""From a commission, a rate book and a rack to a price that unfolds and knows its risk.

The price is built from what is printed: each line is rounded once, percentages are taken of
printed sums, and what lies under a line shares out what the line prints.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from heapq import nlargest
from operator import itemgetter

from costing.core.breakdown import (
    Assembly,
    EstimateInput,
    ExtraKind,
    ExtraLine,
    GlueArea,
    Handled,
    Method,
    OperationLine,
)
from costing.core.distribution import Distribution
from costing.core.lines import Draft, Line
from costing.core.money import (
    ZERO,
    TaxedAmount,
    TaxGroup,
    rounded,
    shares_of,
    tax_per_rate,
)
from costing.core.pricing import (
    EXPECTED,
    PriceBasis,
    Pricing,
    profit_line,
    reserve_line,
    rounding_line,
)
from costing.core.rack import Board, Rack, RackGlue, Sheet
from costing.core.rates import Overhead, OverheadBasis, Profit, ProfitBasis, RateBook
from costing.core.stock import PartSize
from costing.core.takeoff import TimberNeed, glue_drafts, timber_drafts
from costing.core.tally import Tally, total_of
from costing.core.workings import operation_drafts, percent, plain
from orders.core.errors import RuleBroken, RulesBroken

__all__ = [
    "Assembly",
    "AssemblyShare",
    "Board",
    "Estimate",
    "EstimateInput",
    "ExtraKind",
    "ExtraLine",
    "GlueArea",
    "Line",
    "Method",
    "OperationLine",
    "Overhead",
    "OverheadBasis",
    "PartSize",
    "PriceBasis",
    "Pricing",
    "Profit",
    "ProfitBasis",
    "Rack",
    "RackGlue",
    "RateBook",
    "Risk",
    "Sheet",
    "TimberNeed",
    "estimate",
    "estimates",
]

MOST_RISKS = 10
SHARE_STEP = Decimal("0.0001")

EXTRA_LABELS = {
    ExtraKind.SUNDRIES: "Sundries",
    ExtraKind.FINISH: "Finish",
    ExtraKind.OUTWORK: "Outwork",
    ExtraKind.DELIVERY: "Delivery",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class AssemblyShare:
    """What one assembly, in its whole quantity, contributes to hours, cost, price and risk.

    What belongs to no assembly stands under the key "".
    """

    key: str
    label: str
    quantity: int
    hours: float
    cost: Decimal
    price: Decimal
    variance_share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Risk:
    """An operation and its share in the uncertainty that single operations bring."""

    key: str
    label: str
    joint: str
    assembly: str
    hours: float
    variance_share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """A priced commission: lines that add up to the net price, tax, and how sure it all is.

    `cost` is what the commission is expected to take, `expected_cost` and `hours` how that is
    distributed; contingency, profit and rounding come on top of it. `margin` is profit over
    price and `markup` profit over cost, both as they come out, contingency counted as cost.
    """

    commission: str
    currency: str
    rates_edition: int
    lines: tuple[Line, ...]
    cost: Decimal
    contingency: Decimal
    profit: Decimal
    margin: Decimal
    markup: Decimal
    net: Decimal
    taxes: tuple[TaxGroup, ...]
    tax: Decimal
    gross: Decimal
    hours: Distribution
    expected_cost: Distribution
    chance_of_loss: float
    assemblies: tuple[AssemblyShare, ...]
    risks: tuple[Risk, ...]
    timber: tuple[TimberNeed, ...]
    pricing: Pricing = EXPECTED

    def chance_of_loss_at(self, net_price: Decimal) -> float:
        """The chance that the work costs more than this net price."""
        return self.expected_cost.chance_above(float(net_price))

    def line(self, key: str) -> Line:
        """The line of this key, at any depth."""
        return next(line for top in self.lines for line in top.walk() if line.key == key)


def estimate(
    commission: EstimateInput, rates: RateBook, rack: Rack, pricing: Pricing = EXPECTED
) -> Estimate:
    """Price a commission.

    Raises RulesBroken for values that cannot be, NotReady when a rate, a board or a glue is
    missing. Fields of the rate book and the rack are named under "rates" and "rack".
    """
    (priced,) = estimates(commission, rates, rack, (pricing,))
    return priced


def estimates(
    commission: EstimateInput, rates: RateBook, rack: Rack, pricings: Sequence[Pricing]
) -> tuple[Estimate, ...]:
    """Cost a commission once and price it in several ways; raises as `estimate` does."""
    _check(commission, rates, rack, pricings)
    costed = _costed(commission, rates, rack)
    return tuple(_priced(costed, pricing) for pricing in pricings)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Costed:
    """All that an estimate knows before its price is set."""

    commission: EstimateInput
    rates: RateBook
    lines: tuple[Line, ...]
    cost: Decimal
    tallies: dict[str, Tally]
    whole: Tally
    expected: Distribution
    needs: tuple[TimberNeed, ...]


def _costed(commission: EstimateInput, rates: RateBook, rack: Rack) -> _Costed:
    tallies = {assembly.key: Tally() for assembly in commission.assemblies} | {"": Tally()}
    drafts = operation_drafts(commission, rates, tallies)
    timber, needs = timber_drafts(commission, rack, tallies, rates.currency)
    drafts += [timber, glue_drafts(commission, rack, tallies, rates.currency)]
    drafts += _extras(commission, tallies, rates.currency)
    lines = [draft.printed(rates.currency) for draft in drafts if draft.children]
    lines += _handling(lines, rates)
    whole = total_of(tallies.values())
    lines += _overhead(lines, rates, whole)
    cost = _sum(lines)
    if cost < 0:
        raise RuleBroken("extras", "The credits are greater than the cost; take them down.")
    return _Costed(
        commission=commission,
        rates=rates,
        lines=tuple(lines),
        cost=cost,
        tallies=tallies,
        whole=whole,
        expected=whole.cost(float(cost), commission.order_spread),
        needs=needs,
    )


def _priced(costed: _Costed, pricing: Pricing) -> Estimate:
    rates, cost, expected = costed.rates, costed.cost, costed.expected
    lines = [*costed.lines]
    lines += _worth_a_line(reserve_line(cost, expected, pricing, rates))
    base = _sum(lines)
    lines += _worth_a_line(profit_line(base, pricing, rates))
    lines += _worth_a_line(rounding_line(_sum(lines), pricing, rates))
    net = _sum(lines)
    taxes = tax_per_rate([TaxedAmount(amount=net, rate=rates.tax_rate)], rates.currency)
    tax = sum((group.tax for group in taxes), ZERO)
    profit = net - base
    return Estimate(
        commission=costed.commission.commission,
        currency=rates.currency,
        rates_edition=rates.edition,
        lines=tuple(lines),
        cost=cost,
        contingency=base - cost,
        profit=profit,
        margin=(profit / net).quantize(SHARE_STEP) if net else ZERO,
        markup=(profit / base).quantize(SHARE_STEP) if base else ZERO,
        net=net,
        taxes=taxes,
        tax=tax,
        gross=net + tax,
        hours=costed.whole.hours(costed.commission.order_spread),
        expected_cost=expected,
        chance_of_loss=expected.chance_above(float(net)),
        assemblies=_assembly_shares(costed, net),
        risks=_risks(costed.whole),
        timber=costed.needs,
        pricing=pricing,
    )


def _worth_a_line(line: Line) -> list[Line]:
    return [line] if line.amount else []


def _check(
    commission: EstimateInput, rates: RateBook, rack: Rack, pricings: Sequence[Pricing]
) -> None:
    faults = commission.faults()
    faults += [fault.under("pricing") for pricing in pricings for fault in pricing.faults()]
    faults += [fault.under("rates") for fault in rates.faults()]
    faults += [fault.under("rack") for fault in rack.faults()]
    if commission.currency != rates.currency:
        faults.append(
            RuleBroken(
                "currency",
                f"The commission is priced in {commission.currency} and rate book edition "
                f"{rates.edition} is in {rates.currency}; choose one of them for both.",
            )
        )
    if faults:
        raise RulesBroken(faults)


def _sum(lines: Iterable[Line]) -> Decimal:
    return sum((line.amount for line in lines), ZERO)


def _extras(commission: EstimateInput, tallies: dict[str, Tally], currency: str) -> list[Draft]:
    quantities = {assembly.key: assembly.quantity for assembly in commission.assemblies}
    labels = {assembly.key: assembly.label for assembly in commission.assemblies}
    groups: dict[ExtraKind, dict[str, list[Draft]]] = {kind: {} for kind in ExtraKind}
    for extra in commission.extras:
        quantity = extra.quantity * quantities.get(extra.assembly, 1)
        amount = quantity * extra.unit_price
        unit = f" {extra.unit}" if extra.unit else ""
        draft = Draft(
            f"{extra.kind}/{extra.assembly}/{extra.key}",
            extra.label,
            f"{quantity:f}{unit} at {plain(extra.unit_price, currency)}",
            amount,
        )
        groups[extra.kind].setdefault(extra.assembly, []).append(draft)
        tallies[extra.assembly].add_cost(
            draft.exact, handled=extra.kind.handled_as, spread=extra.spread
        )
    return [
        Draft(
            kind.value,
            EXTRA_LABELS[kind],
            children=[
                Draft(f"{kind}/{key}", labels.get(key, "Whole commission"), children=drafts)
                for key, drafts in by_assembly.items()
            ],
        )
        for kind, by_assembly in groups.items()
    ]


def _share_line(
    key: str, label: str, share: Decimal, base: Decimal, noun: str, rates: RateBook
) -> list[Line]:
    if not share:
        return []
    make_up = f"{percent(share)} of {noun} {plain(base, rates.currency)}"
    return [Draft(key, label, make_up, base * share).printed(rates.currency)]


def _handling(lines: Sequence[Line], rates: RateBook) -> list[Line]:
    found: list[Line] = []
    for what in Handled:
        parts = {kind.value for kind in ExtraKind if kind.handled_as is what}
        parts |= {"timber", "glue"} if what is Handled.MATERIALS else set()
        base = _sum(line for line in lines if line.key in parts)
        key = "handling" if what is Handled.MATERIALS else f"handling-{what}"
        label, share = f"Handling of {what}", rates.handling_of(what)
        found += _share_line(key, label, share, base, what.value, rates)
    return found


def _overhead(lines: Sequence[Line], rates: RateBook, whole: Tally) -> list[Line]:
    overhead = rates.overhead
    if overhead.basis is OverheadBasis.LABOUR_COST:
        labour = _sum(line for line in lines if line.key == "labour")
        return _share_line("overhead", "Shop overhead", overhead.rate, labour, "labour", rates)
    if overhead.basis is OverheadBasis.DEPARTMENT:
        return _departments(rates, whole)
    is_labour = overhead.basis is OverheadBasis.LABOUR_HOUR
    hours = (whole.labour_min if is_labour else whole.machine_min) / 60
    if not overhead.rate or not hours:
        return []
    noun = "labour h" if is_labour else "machine h"
    make_up = f"{hours:.2f} {noun} at {plain(overhead.rate, rates.currency)} per h"
    return [
        Draft("overhead", "Shop overhead", make_up, hours * overhead.rate).printed(rates.currency)
    ]


def _departments(rates: RateBook, whole: Tally) -> list[Line]:
    """Shop overhead, unfolding to what each department's hours bear."""
    drafts = []
    for skill, minutes in whole.minutes_of.items():
        rate, hours = rates.overhead.per_hour(skill), minutes / 60
        words = f"{hours:.2f} labour h at {plain(rate, rates.currency)} per h"
        drafts.append(Draft(f"overhead/{skill}", skill.capitalize(), words, hours * rate))
    if not any(draft.exact for draft in drafts):
        return []
    return [Draft("overhead", "Shop overhead", children=drafts).printed(rates.currency)]


def _assembly_shares(costed: _Costed, net: Decimal) -> tuple[AssemblyShare, ...]:
    commission, rates, tallies = costed.commission, costed.rates, costed.tallies
    places = [(a.key, a.label, a.quantity) for a in commission.assemblies]
    if tallies[""].direct:
        places.append(("", "Whole commission", 1))
    burdened = [tallies[key].burdened(rates) for key, _, _ in places]
    whole = sum(burdened, ZERO)
    variance = sum(tally.variance for tally in tallies.values())

    def split(total: Decimal) -> Sequence[Decimal]:
        if not whole:
            return [rounded(ZERO, rates.currency)] * len(places)
        return shares_of(total, [total * part / whole for part in burdened], rates.currency)

    return tuple(
        AssemblyShare(
            key=key,
            label=label,
            quantity=quantity,
            hours=float(tallies[key].labour_min) / 60,
            cost=its_cost,
            price=its_price,
            variance_share=tallies[key].variance / variance if variance else 0.0,
        )
        for (key, label, quantity), its_cost, its_price in zip(
            places, split(costed.cost), split(net), strict=True
        )
    )


def _risks(whole: Tally) -> tuple[Risk, ...]:
    variance = sum(worry[0] for worry in whole.worries)
    return tuple(
        Risk(
            key=operation.key,
            label=operation.label,
            joint=operation.joint,
            assembly=operation.assembly,
            hours=minutes / 60,
            variance_share=its / variance,
        )
        for its, minutes, operation in nlargest(MOST_RISKS, whole.worries, key=itemgetter(0))
        if its
    )
