"""Every figure of an edition of the rate book in words, and two editions side by side."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from costing.core.rates import OverheadBasis, Profit, ProfitBasis
from costing.core.workings import plain
from costing.models import RateEdition
from orders.web.formats import full_day, money, share


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One figure of an edition: where it belongs, its name, and how it is written."""

    group: str
    name: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """A figure in two editions; "" where one does not have it."""

    group: str
    name: str
    first: str
    second: str

    @property
    def has_changed(self) -> bool:
        """Whether the two differ."""
        return self.first != self.second


def side_by_side(first: RateEdition | None, second: RateEdition) -> list[Pair]:
    """The figures of two editions; what only the first one has comes last in its group."""
    before = {(each.group, each.name): each.words for each in figures_of(first)} if first else {}
    after = {(each.group, each.name): each.words for each in figures_of(second)}
    groups = dict.fromkeys(group for group, _ in (*after, *before))
    keys = dict.fromkeys((*after, *before))
    return [
        Pair(group=key[0], name=key[1], first=before.get(key, ""), second=after.get(key, ""))
        for group in groups
        for key in keys
        if key[0] == group
    ]


def figures_of(edition: RateEdition) -> list[Figure]:
    """All of them, in the order of the page."""
    return [
        Figure(group=group, name=name, words=words)
        for group, rows in (
            ("An hour of labour", labour(edition)),
            ("An hour of a machine, beside the hand", machines(edition)),
            ("An hour of each hand", hands(edition)),
            ("Added to cost", added(edition)),
            ("From cost to price", priced(edition)),
        )
        for name, words in rows
    ]


def labour(edition: RateEdition) -> Iterator[tuple[str, str]]:
    """Each skill."""
    for row in edition.labour.all():
        yield row.skill.capitalize(), money_of(edition, row.per_hour)


def machines(edition: RateEdition) -> Iterator[tuple[str, str]]:
    """Each kind of machine."""
    for row in edition.machines.all():
        yield row.station_kind.capitalize(), money_of(edition, row.per_hour)


def hands(edition: RateEdition) -> Iterator[tuple[str, str]]:
    """Each hand."""
    for row in edition.hands.all():
        yield str(row.hand), money_of(edition, row.per_hour)


def added(edition: RateEdition) -> Iterator[tuple[str, str]]:
    """Overhead, handling and contingency, and what machines are built up with."""
    rate = money_of(edition, edition.overhead_rate)
    if edition.overhead_basis == OverheadBasis.LABOUR_COST:
        yield "Shop overhead", f"{share(edition.overhead_rate, 1)} of the cost of labour"
    elif edition.overhead_basis == OverheadBasis.DEPARTMENT:
        for row in edition.labour.all():
            own = row.overhead_per_hour
            words = rate if own is None else money_of(edition, own)
            yield f"Overhead of {row.skill}", f"{words} per h of labour"
    else:
        noun = "machine" if edition.overhead_basis == OverheadBasis.MACHINE_HOUR else "labour"
        yield "Shop overhead", f"{rate} per h of {noun}"
    yield "Handling on materials", share(edition.materials_handling, 1)
    yield "Handling on outwork", share(edition.outwork_handling, 1)
    yield "Handling on delivery", share(edition.delivery_handling, 1)
    yield "Contingency", share(edition.contingency, 1)
    if edition.tariff_per_kwh or edition.rent_per_m2:
        yield "A kilowatt-hour", plain(edition.tariff_per_kwh, edition.workshop.currency)
        yield "A square metre a year", money_of(edition, edition.rent_per_m2)


def priced(edition: RateEdition) -> Iterator[tuple[str, str]]:
    """Profit both ways, rounding, and tax by its days."""
    profit = Profit(basis=ProfitBasis(edition.profit_basis), share=edition.profit_share)
    asked = {True: " (asked for)", False: " (follows)"}
    is_margin = profit.basis is ProfitBasis.MARGIN
    yield "Margin, of the price", f"{share(profit.margin, 1)}{asked[is_margin]}"
    yield "Markup, on cost", f"{share(profit.markup, 1)}{asked[not is_margin]}"
    step = money_of(edition, edition.rounding)
    yield "Prices rounded to", step if edition.rounding else "the smallest coin"
    yield edition.tax_name, f"{edition.tax_rate.normalize():f} %"
    for step_of_tax in edition.tax_steps.all():
        name = f"{edition.tax_name} from {full_day(step_of_tax.valid_from)}"
        yield name, f"{step_of_tax.rate.normalize():f} %"


def money_of(edition: RateEdition, amount: Decimal) -> str:
    """An amount in the currency of the workshop."""
    return money(amount, edition.workshop.currency)
