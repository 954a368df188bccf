"""The form of the next edition of the rate book."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django import forms
from django.db.models import Avg
from django.utils import timezone
from django.utils.safestring import SafeString

from costing.core.machine_hours import machine_hour
from costing.models import HandRate, MachineBuildUp, RateEdition
from costing.models.rates import overhead_choices, profit_choices
from costing.services import rates
from costing.services.rate_rows import PARTS, Rows, machine_cost
from costing.web.fields import HUNDRED, MoneyField, PercentField
from costing.web.unfold import unfolding
from orders.core.errors import WorkshopError
from orders.core.times import MACHINES, Skill, StationKind
from orders.web.formats import money
from orders.web.forms import SheetForm
from shop.models import Hand

SHARED_BASES = ("labour-cost",)
STEPS = (1, 2)


class EditionForm(SheetForm):
    """Every rate of an edition, starting from those of the last."""

    valid_from = forms.DateField(
        label="Valid from", widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d")
    )
    overhead_basis = forms.ChoiceField(label="Overhead is charged on", choices=overhead_choices)
    overhead_rate = MoneyField(
        label="Overhead", help_text="Money per hour, or per cent where it is on cost of labour."
    )
    materials_handling = PercentField(label="Handling on materials, %")
    outwork_handling = PercentField(label="Handling on outwork, %", required=False)
    delivery_handling = PercentField(label="Handling on delivery, %", required=False)
    contingency = PercentField(label="Contingency, %")
    tariff_per_kwh = MoneyField(label="A kilowatt-hour costs", required=False)
    rent_per_m2 = MoneyField(label="A square metre costs a year", required=False)
    profit_basis = forms.ChoiceField(label="Profit is", choices=profit_choices)
    profit_share = PercentField(label="Profit, %")
    tax_rate = forms.DecimalField(
        label="Tax, %", min_value=0, max_value=100, max_digits=5, decimal_places=2
    )
    tax_name = forms.CharField(label="Tax is called", max_length=20)
    rounding = MoneyField(
        label="Round prices to", help_text="A step such as 5; 0 rounds to the smallest coin."
    )
    note = forms.CharField(label="What is new", max_length=200, required=False)

    def put_together(self) -> None:
        """A field for each skill, hand, kind of machine and part of it, and coming tax."""
        for skill in Skill:
            self.fields[f"labour_{skill}"] = hourly(skill.capitalize())
            self.fields[f"overhead_{skill}"] = hourly(f"Overhead of {skill}")
        for hand in self.hands:
            self.fields[f"hand_{hand.pk}"] = hourly(hand.name)
        for kind in machine_kinds():
            self.fields[f"machine_{kind}"] = hourly(kind.capitalize())
            for name in PARTS:
                self.fields[f"{kind}-{name}"] = part_field(name)
        for step in STEPS:
            self.fields[f"tax_from_{step}"] = forms.DateField(
                label="Then from",
                required=False,
                widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
            )
            self.fields[f"tax_rate_{step}"] = forms.DecimalField(
                label="it is, %", required=False, min_value=0, max_value=100, decimal_places=2
            )
        for name, average in averages(self.workshop).items():
            self.fields[f"labour_{name}"].help_text = f"Its hands cost {money(average)} on average."

    @property
    def hands(self) -> list[Hand]:
        """The hands who work here."""
        if not hasattr(self, "_hands"):
            self._hands = list(self.own(Hand).filter(is_in_use=True).order_by("name"))
        return self._hands

    @property
    def labour_fields(self) -> Iterator[Any]:
        """The fields of the skills."""
        return (self[f"labour_{skill}"] for skill in Skill)

    @property
    def department_fields(self) -> Iterator[Any]:
        """The fields of overhead by department."""
        return (self[f"overhead_{skill}"] for skill in Skill)

    @property
    def hand_fields(self) -> Iterator[Any]:
        """The fields of the hands."""
        return (self[f"hand_{hand.pk}"] for hand in self.hands)

    @property
    def tax_fields(self) -> Iterator[Any]:
        """The days from which another tax holds, each with its rate."""
        return (self[f"tax_{name}_{step}"] for step in STEPS for name in ("from", "rate"))

    @property
    def machines(self) -> Iterator[MachineFields]:
        """Each machine: its rate, its parts and what they add up to."""
        for kind in machine_kinds():
            fields = [self[f"{kind}-{name}"] for name in PARTS]
            yield MachineFields(
                kind=kind,
                rate=self[f"machine_{kind}"],
                parts=fields,
                is_built_up=fields[0].value() not in (None, ""),
                is_open=any(field.errors for field in fields),
                hour=self._hour(kind),
            )

    def _hour(self, kind: StationKind) -> SafeString:
        """What the parts that are typed add up to, so far as they make sense."""
        typed = getattr(self, "cleaned_data", {}) if self.is_bound else self.initial
        parts = {name: typed.get(f"{kind}-{name}") for name in PARTS}
        if not any(parts.values()) or self.workshop is None:
            return SafeString("")
        edition = RateEdition(
            tariff_per_kwh=typed.get("tariff_per_kwh") or Decimal(0),
            rent_per_m2=typed.get("rent_per_m2") or Decimal(0),
        )
        try:
            hour = machine_hour(machine_cost(given(parts), edition), self.workshop.currency)
        except WorkshopError:
            return SafeString("")
        return unfolding([hour], self.workshop.currency)

    def clean(self) -> dict[str, Any]:
        """A rate of tax that is to come needs its day, and a day its rate."""
        typed: dict[str, Any] = super().clean() or {}
        for step in STEPS:
            day, rate = typed.get(f"tax_from_{step}"), typed.get(f"tax_rate_{step}")
            if day and rate is None and not self.has_error(f"tax_rate_{step}"):
                self.add_error(f"tax_rate_{step}", "Give the tax that holds from that day.")
            if rate is not None and not day and not self.has_error(f"tax_from_{step}"):
                self.add_error(f"tax_from_{step}", "Give the day from which it holds.")
        return typed

    def edition(self) -> dict[str, Any]:
        """What the service takes; an hour without a rate stays without one."""
        typed = self.values()
        amounts = {name: typed[name] for name in rates.AMOUNTS}
        for name in ("outwork_handling", "delivery_handling", "tariff_per_kwh", "rent_per_m2"):
            amounts[name] = amounts[name] or Decimal(0)
        if amounts["overhead_basis"] in SHARED_BASES:
            amounts["overhead_rate"] = amounts["overhead_rate"] / HUNDRED
        build_ups = {
            str(kind): given({name: typed[f"{kind}-{name}"] for name in PARTS})
            for kind in machine_kinds()
        }
        return {
            "valid_from": typed["valid_from"],
            "labour": given({str(each): typed[f"labour_{each}"] for each in Skill}),
            "departments": given({str(each): typed[f"overhead_{each}"] for each in Skill}),
            "hands": given({hand.pk: typed[f"hand_{hand.pk}"] for hand in self.hands}),
            "machines": given({str(kind): typed[f"machine_{kind}"] for kind in machine_kinds()}),
            "build_ups": {kind: parts for kind, parts in build_ups.items() if parts},
            "tax_steps": self._tax_steps(),
            **amounts,
        }

    def _tax_steps(self) -> dict[date, Decimal]:
        typed = self.cleaned_data
        pairs = [(typed[f"tax_from_{step}"], typed[f"tax_rate_{step}"]) for step in STEPS]
        return {day: rate for day, rate in pairs if day}

    def names_of_faults(self) -> dict[str, str]:
        """The fields that stand for those of the service."""
        names = {f"labour/{skill}": f"labour_{skill}" for skill in Skill}
        names |= {f"machine/{kind}": f"machine_{kind}" for kind in StationKind}
        for table in ("departments", "overhead/departments"):
            names |= {f"{table}/{skill}": f"overhead_{skill}" for skill in Skill}
        names |= {f"hands/{hand.pk}": f"hand_{hand.pk}" for hand in self.hands}
        names |= {
            f"build_ups/{kind}/{name}": f"{kind}-{name}"
            for kind in machine_kinds()
            for name in PARTS
        }
        return names


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineFields:
    """One machine of the form."""

    kind: StationKind
    rate: Any
    parts: list[Any]
    is_built_up: bool
    is_open: bool
    hour: SafeString


def hourly(label: str) -> MoneyField:
    """A rate that may be left out."""
    return MoneyField(label=label, required=False, decimal_places=3)


def part_field(name: str) -> forms.Field:
    """A part of a machine's rate."""
    words = str(getattr(MachineBuildUp._meta.get_field(name), "verbose_name", name))
    label = words[:1].upper() + words[1:]
    if name == "load":
        return PercentField(label="Power drawn, %", required=False, max_value=100)
    return MoneyField(label=label, required=False, decimal_places=3)


def machine_kinds() -> list[StationKind]:
    """The kinds of station that have an hourly rate of their own."""
    return [kind for kind in StationKind if kind in MACHINES]


def given(rows: Mapping[Any, Decimal | None]) -> dict[Any, Decimal]:
    """What was given of it."""
    return {name: amount for name, amount in rows.items() if amount is not None}


def averages(workshop: Any) -> dict[str, Decimal]:
    """The mean rate of the hands of each skill, by the newest edition."""
    last = RateEdition.objects.of(workshop).order_by("-number").first() if workshop else None
    rows = HandRate.objects.filter(edition=last, hand__skills__skill__in=list(Skill))
    found = rows.order_by().values_list("hand__skills__skill").annotate(Avg("per_hour"))
    return {skill: Decimal(average) for skill, average in found}


def start_from(last: RateEdition | None) -> dict[str, Any]:
    """What the form begins with: the last edition, valid from today."""
    start: dict[str, Any] = {"valid_from": timezone.localdate()}
    if last is None:
        return start | {"overhead_rate": 0, "rounding": 0, "tax_rate": 0, "tax_name": "VAT"}
    start |= {name: getattr(last, name) for name in rates.AMOUNTS if name != "note"}
    if last.overhead_basis in SHARED_BASES:
        start["overhead_rate"] = last.overhead_rate * HUNDRED
    rows = Rows.of(last)
    for table, found in (
        ("labour", rows.labour),
        ("overhead", rows.departments),
        ("machine", rows.machines),
        ("hand", rows.hands),
    ):
        start |= {f"{table}_{name}": amount for name, amount in found.items()}
    for kind, parts in rows.build_ups.items():
        start |= {f"{kind}-{name}": amount for name, amount in parts.items()}
    for step, (day, rate) in zip(STEPS, rows.tax_steps.items(), strict=False):
        start |= {f"tax_from_{step}": day, f"tax_rate_{step}": rate}
    return start
