"""What orders cost: quoted against actual, kind by kind, for a whole order and each assembly."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from functools import cached_property
from typing import Any

from django.utils import timezone

from costing.core.jobcost import (
    Charge,
    CostKind,
    CostLine,
    Hours,
    cost_lines,
    kind_of_line,
    total_of,
)
from costing.core.money import ZERO
from costing.core.rates import RateBook
from costing.models import Charge as ChargeRow
from costing.models import HandRate, Quote, RateEdition
from costing.services.hourly import overhead_of_hour
from costing.services.rates import rate_book
from orders.core.errors import NotReady
from orders.core.times import MACHINES
from orders.models import Commission
from shop.core.minding import Attention
from shop.models import Clocking, Workshop
from shop.services.paid import Run, unpaid_in

MACHINE_KINDS = frozenset(kind.value for kind in MACHINES)
WHOLE = None
"""The key of what belongs to no assembly."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Quoted:
    """What the accepted quote says: its price and hours, and its cost by kind and assembly."""

    net: Decimal
    hours: float
    rates: int
    of_kind: Mapping[CostKind, Decimal]
    of_assembly: Mapping[int, Mapping[CostKind, Decimal]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """An assembly, or ("") what belongs to none, with its cost by kind."""

    assembly: int | None
    lines: tuple[CostLine, ...]

    @property
    def quoted(self) -> Decimal:
        """Quoted cost."""
        return total_of(self.lines)[0]

    @property
    def actual(self) -> Decimal:
        """Cost so far."""
        return total_of(self.lines)[1]

    @property
    def difference(self) -> Decimal:
        """What it cost beyond what was quoted."""
        return self.actual - self.quoted


@dataclass(frozen=True, slots=True, kw_only=True)
class JobCost:
    """An order's cost; `net` is its price without tax, None where no quote was accepted.

    `seconds` are those that hands are paid for, `at_station` those that kinds of station were
    taken.
    """

    commission: Commission
    quoted: Quoted | None
    lines: tuple[CostLine, ...]
    parts: tuple[Part, ...]
    seconds: int
    at_station: Mapping[str, int] = field(default_factory=dict)

    @property
    def net(self) -> Decimal | None:
        """The price that was agreed, without tax."""
        return self.quoted.net if self.quoted else None

    @property
    def hours(self) -> float:
        """Hours of hands, each counted once."""
        return self.seconds / 3600

    @property
    def quoted_cost(self) -> Decimal:
        """What it was reckoned to cost, without reserve and profit."""
        return total_of(self.lines)[0]

    @property
    def actual_cost(self) -> Decimal:
        """What it cost so far."""
        return total_of(self.lines)[1]

    @property
    def difference(self) -> Decimal:
        """What it cost beyond what was quoted; the differences of the kinds add up to it."""
        return self.actual_cost - self.quoted_cost

    @property
    def price_part(self) -> Decimal:
        """What rates and prices did."""
        return sum((line.price for line in self.lines), ZERO)

    @property
    def usage_part(self) -> Decimal:
        """What hours and quantities did."""
        return sum((line.usage for line in self.lines), ZERO)

    @property
    def earned(self) -> Decimal | None:
        """Price less cost so far."""
        return None if self.net is None else self.net - self.actual_cost

    @property
    def bought(self) -> Decimal:
        """Cost so far of what was issued and bought: all but hours and overhead."""
        own = (CostKind.LABOUR, CostKind.MACHINE, CostKind.OVERHEAD)
        return sum((line.actual for line in self.lines if line.kind not in own), ZERO)


def job_cost(commission: Commission, until: date | None = None) -> JobCost:
    """One order's cost, up to and with a day; about eight queries."""
    return job_costs(commission.workshop, [commission], until)[0]


def job_costs(
    workshop: Workshop, commissions: Sequence[Commission], until: date | None = None
) -> list[JobCost]:
    """Several orders' costs, in their order; as many queries as for one.

    Raises NotReady without any edition of the rate book.
    """
    ledger = _Ledger(workshop, [one.pk for one in commissions], until)
    return [ledger.job_cost(one) for one in commissions]


class _Ledger:
    """Everything that was quoted for, clocked on and charged to some orders, read once."""

    def __init__(self, workshop: Workshop, orders: Collection[int], until: date | None) -> None:
        self.workshop, self.orders, self.until = workshop, orders, until
        editions = RateEdition.objects.of(workshop).prefetch_related(
            "labour", "machines", "tax_steps"
        )
        self.editions = list(editions.select_related("workshop").order_by("-number"))
        if not self.editions:
            raise NotReady("The rate book has no edition yet; make one to see what orders cost.")
        self.books: dict[int, RateBook] = {
            one.pk: rate_book(one, one.valid_from) for one in self.editions
        }

    def job_cost(self, commission: Commission) -> JobCost:
        """One of them."""
        clocked = self.clocked.get(commission.pk, [])
        charged = self.charged.get(commission.pk, [])
        quoted = self.quoted.get(commission.pk)
        at_station: dict[str, int] = {}
        for row in clocked:
            at_station[row.station] = at_station.get(row.station, 0) + row.seconds
        return JobCost(
            commission=commission,
            quoted=quoted,
            lines=self._lines(quoted.of_kind if quoted else {}, quoted, clocked, charged),
            parts=tuple(self._parts(quoted, clocked, charged)),
            seconds=sum(row.seconds for row in clocked if row.is_manned),
            at_station=at_station,
        )

    def _parts(
        self, quoted: Quoted | None, clocked: list[_Clocked], charged: list[ChargeRow]
    ) -> Iterator[Part]:
        """Assembly by assembly, without overhead, which no quote shares out."""
        of_assembly = quoted.of_assembly if quoted else {}
        keys = {*of_assembly, *(row.assembly for row in clocked)}
        keys |= {row.assembly_id for row in charged if row.assembly_id}
        loose = [row for row in charged if row.assembly_id is None]
        for key in [*sorted(keys), *([WHOLE] if loose else [])]:
            lines = self._lines(
                of_assembly.get(key, {}) if key else {},
                quoted,
                [row for row in clocked if row.assembly == key],
                [row for row in charged if row.assembly_id == key],
            )
            kept = tuple(line for line in lines if line.kind is not CostKind.OVERHEAD)
            yield Part(assembly=key, lines=kept)

    def _lines(
        self,
        of_kind: Mapping[CostKind, Decimal],
        quoted: Quoted | None,
        clocked: Sequence[_Clocked],
        charged: Sequence[ChargeRow],
    ) -> tuple[CostLine, ...]:
        book = self.books.get(quoted.rates) if quoted else None
        return cost_lines(
            of_kind,
            list(self._hours(clocked, book)),
            list(self._charges(charged, book)),
            self.workshop.currency,
        )

    def _hours(self, clocked: Sequence[_Clocked], book: RateBook | None) -> Iterator[Hours]:
        sums: dict[tuple[CostKind, Decimal, Decimal], int] = {}
        for row in clocked:
            now = self._book_on(row.on)
            then = book or now
            for kind, of in RATES.items():
                quoted_rate, actual_rate = of(then, row), of(now, row)
                if kind is CostKind.LABOUR and row.is_manned:
                    actual_rate = self.hand_rates.get((now.edition, row.hand), actual_rate)
                if quoted_rate or actual_rate:
                    key = kind, quoted_rate, actual_rate
                    sums[key] = sums.get(key, 0) + row.seconds
        for (kind, quoted_rate, actual_rate), seconds in sums.items():
            yield Hours(
                kind=kind, seconds=seconds, quoted_rate=quoted_rate, actual_rate=actual_rate
            )

    def _charges(self, charged: Sequence[ChargeRow], book: RateBook | None) -> Iterator[Charge]:
        """What was charged, and the handling on it, which is overhead."""
        for row in charged:
            now = self._book_on(row.on)
            kind = CostKind(row.kind)
            yield Charge(
                kind=kind,
                quantity=row.quantity,
                quoted_price=row.quoted_price,
                actual_price=row.unit_price,
            )
            yield Charge(
                kind=CostKind.OVERHEAD,
                quantity=row.amount,
                quoted_price=_handling(book or now, kind),
                actual_price=_handling(now, kind),
            )

    def _book_on(self, on: date) -> RateBook:
        """The rates of a day; the first edition's before it."""
        found = next((one for one in self.editions if one.valid_from <= on), self.editions[-1])
        return self.books[found.pk]

    @cached_property
    def hand_rates(self) -> dict[tuple[int, int], Decimal]:
        """What an hour of a hand costs, by edition and hand; a hand without costs their skill's."""
        rows = HandRate.objects.filter(edition__in=self.books)
        return {
            (edition, hand): rate
            for edition, hand, rate in rows.values_list("edition__number", "hand_id", "per_hour")
        }

    @cached_property
    def clocked(self) -> dict[int, list[_Clocked]]:
        """What was clocked, by order; what of a run its hand is paid for elsewhere, by itself."""
        rows = Clocking.objects.filter(
            operation__commission__in=self.orders, ended_at__isnull=False
        ).order_by("pk")
        known = list(rows.values_list(*_CLOCKED))
        unpaid = unpaid_in(
            Run(row[7], row[6], (row[4], row[5])) for row in known if row[8] == Attention.MINDED
        )
        found: dict[int, list[_Clocked]] = {}
        for row in known:
            on = timezone.localdate(row[5])
            if self.until is not None and on > self.until:
                continue
            alone = round(unpaid[row[7]].total_seconds()) if row[7] in unpaid else 0
            seconds = round((row[5] - row[4]).total_seconds()) - alone
            mine = found.setdefault(row[0], [])
            mine.append(_Clocked(row[1], row[2], row[3], row[6], on=on, seconds=seconds))
            if alone:
                mine.append(replace(mine[-1], seconds=alone, is_manned=False))
        return found

    @cached_property
    def charged(self) -> dict[int, list[ChargeRow]]:
        """What was charged, by order."""
        rows = ChargeRow.objects.filter(commission__in=self.orders)
        if self.until is not None:
            rows = rows.filter(on__lte=self.until)
        found: dict[int, list[ChargeRow]] = {}
        for row in rows:
            found.setdefault(row.commission_id, []).append(row)
        return found

    @cached_property
    def quoted(self) -> dict[int, Quoted]:
        """What was quoted and accepted, by order."""
        quotes = Quote.objects.filter(commission__in=self.orders, state=Quote.State.ACCEPTED)
        rows = quotes.values_list(
            "commission_id",
            "net",
            "content__agreed__net",
            "rate_edition_id",
            "content__estimate",
        )
        return {
            order: _quoted(net if agreed is None else Decimal(agreed), rates, made)
            for order, net, agreed, rates, made in rows
        }


@dataclass(frozen=True, slots=True)
class _Clocked:
    assembly: int
    skill: str
    station: str
    hand: int
    on: date
    seconds: int
    is_manned: bool = True


_CLOCKED = (
    "operation__commission_id",
    "operation__assembly_id",
    "operation__skill",
    "operation__station_kind",
    "started_at",
    "ended_at",
    "hand_id",
    "pk",
    "attention",
)


def _handling(book: RateBook, kind: CostKind) -> Decimal:
    """The share that is added for handling what is bought."""
    if kind is CostKind.OUTWORK:
        return book.outwork_handling
    return book.delivery_handling if kind is CostKind.DELIVERY else book.materials_handling


def _labour(book: RateBook, row: _Clocked) -> Decimal:
    return book.labour.get(row.skill, ZERO) if row.is_manned else ZERO


def _machine(book: RateBook, row: _Clocked) -> Decimal:
    return book.machine.get(row.station, ZERO) if row.station in MACHINE_KINDS else ZERO


def _overhead(book: RateBook, row: _Clocked) -> Decimal:
    is_machine = row.station in MACHINE_KINDS
    return overhead_of_hour(
        book, row.skill, _labour(book, row), is_machine=is_machine, is_manned=row.is_manned
    )


RATES = {CostKind.LABOUR: _labour, CostKind.MACHINE: _machine, CostKind.OVERHEAD: _overhead}


def _quoted(net: Decimal, rates: int, estimate: Mapping[str, Any]) -> Quoted:
    """The figures of an estimate as it is kept."""
    of_kind: dict[CostKind, Decimal] = {}
    of_assembly: dict[int, dict[CostKind, Decimal]] = {}
    for line in estimate["lines"]:
        kind = kind_of_line(line["key"])
        if kind is None:
            continue
        of_kind[kind] = of_kind.get(kind, ZERO) + Decimal(line["amount"])
        for child in line["children"]:
            key = child["key"].partition("/")[2]
            if key.isdecimal():
                place = of_assembly.setdefault(int(key), {})
                place[kind] = place.get(kind, ZERO) + Decimal(child["amount"])
    return Quoted(
        net=net,
        hours=float(estimate["hours"]["mean"]),
        rates=rates,
        of_kind=of_kind,
        of_assembly=of_assembly,
    )
