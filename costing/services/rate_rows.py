"""The rows of an edition of the rate book: taken over from the last, checked, and stored."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from datetime import date
from decimal import Decimal
from typing import Any

from costing.core.machine_hours import MachineCost, machine_hour_rate
from costing.core.money import rounded
from costing.core.rates import Overhead, OverheadBasis, Profit, ProfitBasis, RateBook
from costing.models import HandRate, LabourRate, MachineBuildUp, MachineRate, RateEdition, TaxStep
from orders.core.errors import RuleBroken, RulesBroken
from orders.core.times import Skill, StationKind
from shop.models import Hand

OF_THE_SHOP = ("tariff_per_kwh", "rent_per_m2")
PARTS = tuple(each.name for each in fields(MachineCost) if each.name not in OF_THE_SHOP)
"""What a machine's rate is built up from, beside the edition's tariff and rent."""

MOST_TAX = 100
MOST_AMOUNT = Decimal(10**8)
PLACES = {
    "overhead/rate": "overhead_rate",
    "profit/share": "profit_share",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """What an edition says of each skill, machine, hand and day, as plain values."""

    labour: Mapping[str, Decimal] = field(default_factory=dict)
    machines: Mapping[str, Decimal] = field(default_factory=dict)
    departments: Mapping[str, Decimal] = field(default_factory=dict)
    hands: Mapping[int, Decimal] = field(default_factory=dict)
    build_ups: Mapping[str, Mapping[str, Decimal]] = field(default_factory=dict)
    tax_steps: Mapping[date, Decimal] = field(default_factory=dict)

    @classmethod
    def of(cls, edition: RateEdition | None) -> Rows:
        """Those of an edition; none of none."""
        if edition is None:
            return cls()
        labour = list(edition.labour.all())
        return cls(
            labour={row.skill: row.per_hour for row in labour},
            machines={row.station_kind: row.per_hour for row in edition.machines.all()},
            departments=departments_of(labour),
            hands={row.hand_id: row.per_hour for row in edition.hands.all()},
            build_ups={kind: parts_of(row) for kind, row in build_ups_of(edition).items()},
            tax_steps={row.valid_from: row.rate for row in edition.tax_steps.all()},
        )

    def replaced(self, **given: Any) -> Rows:
        """With what is given in the place of what is taken over; None is not given.

        A machine whose rate is given anew is no longer built up, unless its parts are given too.
        """
        found = replace(self, **{name: rows for name, rows in given.items() if rows is not None})
        if given.get("build_ups") is not None:
            return found
        kept = {
            kind: parts
            for kind, parts in self.build_ups.items()
            if found.machines.get(kind, self.machines.get(kind)) == self.machines.get(kind)
        }
        return replace(found, build_ups=kept)

    def built_up(self, edition: RateEdition) -> Rows:
        """With the rate of each machine that is built up as its parts give it.

        Raises RulesBroken, naming "build_ups/<kind>/<part>".
        """
        faults: list[RuleBroken] = []
        rates = dict(self.machines)
        for kind, parts in self.build_ups.items():
            place = f"build_ups/{kind}"
            faults += [
                RuleBroken(f"{place}/{name}", "Give an amount of 0 or more, in usual figures.")
                for name in parts
                if name not in PARTS or not _is_usual(parts[name])
            ]
            if faults:
                continue
            try:
                exact = machine_hour_rate(machine_cost(parts, edition))
                rates[kind] = rounded(exact, edition.workshop.currency)
            except RulesBroken as error:
                faults += [fault.under(place) for fault in error.errors]
        if faults:
            raise RulesBroken(faults)
        return replace(self, machines=rates)

    def check(self, edition: RateEdition) -> None:
        """Raise RulesBroken for every figure that makes no sense, by the name of its field."""
        faults = [
            RuleBroken(f"{table}/{name}", f"“{name}” is not {what}.")
            for table, names, known, what in (
                ("labour", self.labour, Skill, "a skill of this trade"),
                ("departments", self.departments, Skill, "a skill of this trade"),
                ("machine", self.machines, StationKind, "a kind of station"),
            )
            for name in names
            if name not in set(known)
        ]
        faults += self._hand_faults(edition)
        faults += [
            RuleBroken(f"tax_steps/{day}", "Tax is 0 or more, and 100 % at the most.")
            for day, rate in self.tax_steps.items()
            if not (rate.is_finite() and 0 <= rate <= MOST_TAX)
        ]
        faults += [
            RuleBroken(PLACES.get(fault.field, fault.field), fault.message)
            for fault in self._book(edition).faults()
        ]
        if faults:
            raise RulesBroken(faults)

    def _hand_faults(self, edition: RateEdition) -> list[RuleBroken]:
        known = set(
            Hand.objects.of(edition.workshop).filter(pk__in=self.hands).values_list("pk", flat=True)
        )
        return [
            RuleBroken(f"hands/{hand}", "There is no such hand in this workshop.")
            for hand in self.hands
            if hand not in known
        ] + [
            RuleBroken(f"hands/{hand}", "The hourly rate of a hand must be 0 or more.")
            for hand, rate in self.hands.items()
            if not _is_usual(rate)
        ]

    def _book(self, edition: RateEdition) -> RateBook:
        return RateBook(
            edition=edition.number,
            currency=edition.workshop.currency,
            labour=self.labour,
            machine=self.machines,
            overhead=Overhead(
                basis=OverheadBasis(edition.overhead_basis),
                rate=edition.overhead_rate,
                departments=self.departments,
            ),
            materials_handling=edition.materials_handling,
            outwork_handling=edition.outwork_handling,
            delivery_handling=edition.delivery_handling,
            contingency=edition.contingency,
            profit=Profit(basis=ProfitBasis(edition.profit_basis), share=edition.profit_share),
            tax_rate=edition.tax_rate,
            rounding=edition.rounding,
        )

    def store(self, edition: RateEdition) -> None:
        """Write them down under an edition that is stored."""
        LabourRate.objects.bulk_create(
            LabourRate(
                edition=edition,
                skill=skill,
                per_hour=rate,
                overhead_per_hour=self.departments.get(skill),
            )
            for skill, rate in self.labour.items()
        )
        MachineRate.objects.bulk_create(
            MachineRate(edition=edition, station_kind=kind, per_hour=rate)
            for kind, rate in self.machines.items()
        )
        machines = {rate.station_kind: rate for rate in edition.machines.all()}
        MachineBuildUp.objects.bulk_create(
            MachineBuildUp(rate=machines[kind], **parts) for kind, parts in self.build_ups.items()
        )
        HandRate.objects.bulk_create(
            HandRate(edition=edition, hand_id=hand, per_hour=rate)
            for hand, rate in self.hands.items()
        )
        TaxStep.objects.bulk_create(
            TaxStep(edition=edition, valid_from=day, rate=rate)
            for day, rate in self.tax_steps.items()
        )


def departments_of(rows: list[LabourRate]) -> dict[str, Decimal]:
    """The overhead that an hour of each skill bears, where the edition says."""
    return {row.skill: row.overhead_per_hour for row in rows if row.overhead_per_hour is not None}


def build_ups_of(edition: RateEdition) -> dict[str, MachineBuildUp]:
    """The build-ups of an edition by kind of station."""
    rows = MachineBuildUp.objects.filter(rate__edition=edition).select_related("rate")
    return {row.rate.station_kind: row for row in rows}


def parts_of(build_up: MachineBuildUp) -> dict[str, Decimal]:
    """The parts of a build-up by name."""
    return {name: getattr(build_up, name) for name in PARTS}


def machine_cost(parts: Mapping[str, Decimal], edition: RateEdition) -> MachineCost:
    """A build-up as the core reads it, with the tariff and the rent of its edition."""
    given = {"purchase": Decimal(0), "residual": Decimal(0)}
    given |= {"life_h": Decimal(0), "hours_run": Decimal(0), **parts}
    return MachineCost(
        tariff_per_kwh=edition.tariff_per_kwh, rent_per_m2=edition.rent_per_m2, **given
    )


def _is_usual(amount: Decimal) -> bool:
    return amount.is_finite() and 0 <= amount < MOST_AMOUNT
