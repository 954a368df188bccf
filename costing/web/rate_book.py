"""The rate book: its editions, what is in force, and the next edition."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from costing.core.rates import Profit, ProfitBasis
from costing.models import RateEdition
from costing.models.rates import overhead_choices, profit_choices
from costing.services import rates
from costing.web.fields import HUNDRED, MoneyField, PercentField
from orders.core.errors import NotReady
from orders.core.times import MACHINES, Skill, StationKind
from orders.web.access import WorkshopRequest, needs
from orders.web.forms import SheetForm, faults_in, posted

ZONE = "rate-book"
SHARED_BASES = ("labour-cost",)


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
    contingency = PercentField(label="Contingency, %")
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
        """A field for each skill and each kind of machine."""
        for skill in Skill:
            self.fields[f"labour_{skill}"] = MoneyField(
                label=skill.capitalize(), required=False, decimal_places=2
            )
        for kind in machine_kinds():
            self.fields[f"machine_{kind}"] = MoneyField(
                label=kind.capitalize(), required=False, decimal_places=2
            )

    @property
    def labour_fields(self) -> Iterator[Any]:
        """The fields of the skills."""
        return (self[f"labour_{skill}"] for skill in Skill)

    @property
    def machine_fields(self) -> Iterator[Any]:
        """The fields of the machines."""
        return (self[f"machine_{kind}"] for kind in machine_kinds())

    def edition(self) -> dict[str, Any]:
        """What the service takes; an hour without a rate stays without one."""
        typed = self.values()
        labour = {str(skill): typed.pop(f"labour_{skill}") for skill in Skill}
        machines = {str(kind): typed.pop(f"machine_{kind}") for kind in machine_kinds()}
        if typed["overhead_basis"] in SHARED_BASES:
            typed["overhead_rate"] = typed["overhead_rate"] / HUNDRED
        return {"labour": priced(labour), "machines": priced(machines), **typed}


FIELDS_OF_FAULTS = {f"labour/{skill}": f"labour_{skill}" for skill in Skill} | {
    f"machine/{kind}": f"machine_{kind}" for kind in StationKind
}


def machine_kinds() -> list[StationKind]:
    """The kinds of station that have an hourly rate of their own."""
    return [kind for kind in StationKind if kind in MACHINES]


def priced(hourly: Mapping[str, Decimal | None]) -> dict[str, Decimal]:
    """The rates that were given."""
    return {name: rate for name, rate in hourly.items() if rate is not None}


@require_safe
@needs("costing.see_rates", zone=ZONE)
def rate_book(request: WorkshopRequest) -> HttpResponse:
    """The edition in force, and all others."""
    try:
        in_force = rates.rates_in_force(request.workshop, timezone.localdate())
    except NotReady:
        in_force = None
    return shown(request, in_force)


@require_safe
@needs("costing.see_rates", zone=ZONE)
def rate_edition(request: WorkshopRequest, pk: int) -> HttpResponse:
    """One edition beside the one before it."""
    edition: RateEdition = get_object_or_404(RateEdition.objects.of(request.workshop), pk=pk)
    return shown(request, edition)


def shown(request: WorkshopRequest, edition: RateEdition | None) -> HttpResponse:
    """The page of an edition, or the empty rate book."""
    editions = list(RateEdition.objects.of(request.workshop).select_related("made_by"))
    before = next((one for one in editions if edition and one.number < edition.number), None)
    return render(
        request,
        "costing/rate_book.html",
        {
            "edition": edition,
            "before": before,
            "editions": editions,
            "today": timezone.localdate(),
            "rows": compared(edition, before) if edition else [],
            "profit": profit_of(edition) if edition else None,
        },
    )


def compared(edition: RateEdition, before: RateEdition | None) -> list[dict[str, Any]]:
    """Hourly rates, each with what it was in the edition before."""
    now, then = hourly_of(edition), hourly_of(before) if before else {}
    return [
        {"group": group, "name": name.capitalize(), "rate": rate, "was": then.get((group, name))}
        for (group, name), rate in now.items()
    ]


def hourly_of(edition: RateEdition) -> dict[tuple[str, str], Decimal]:
    """Every hourly rate of an edition by its group and name."""
    labour = {("Labour", rate.skill): rate.per_hour for rate in edition.labour.all()}
    machines = {("Machine", rate.station_kind): rate.per_hour for rate in edition.machines.all()}
    return labour | machines


def profit_of(edition: RateEdition) -> Profit:
    """Profit both ways: as a margin and as a markup."""
    return Profit(basis=ProfitBasis(edition.profit_basis), share=edition.profit_share)


@require_http_methods(["GET", "HEAD", "POST"])
@needs("costing.edit_rates", zone=ZONE)
def rate_book_new(request: WorkshopRequest) -> HttpResponse:
    """Make the next edition."""
    last = RateEdition.objects.of(request.workshop).order_by("-number").first()
    form = EditionForm(posted(request), workshop=request.workshop, initial=start_from(last))
    if form.is_valid():
        with faults_in(form, FIELDS_OF_FAULTS):
            edition = rates.new_edition(request.workshop, by=request.user, **form.edition())
            messages.success(request, f"Edition {edition.number} of the rate book is made.")
            return redirect("rate-edition", edition.pk)
    return render(request, "costing/rate_form.html", {"form": form, "last": last})


def start_from(last: RateEdition | None) -> dict[str, Any]:
    """What the form begins with: the last edition, valid from today."""
    start: dict[str, Any] = {"valid_from": timezone.localdate()}
    if last is None:
        return start | {"overhead_rate": 0, "rounding": 0, "tax_rate": 0, "tax_name": "VAT"}
    names = [name for name in rates.AMOUNTS if name != "note"]
    start |= {name: getattr(last, name) for name in names}
    if last.overhead_basis in SHARED_BASES:
        start["overhead_rate"] = last.overhead_rate * HUNDRED
    hourly = hourly_of(last)
    for (group, name), rate in hourly.items():
        start[f"{group.lower()}_{name}"] = rate
    return start
