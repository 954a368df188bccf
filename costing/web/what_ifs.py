"""What if: quantities and named alternatives of a commission side by side, and one adopted."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from costing.core.finish import LONGEST_LABEL, SupposedFinish
from costing.core.quantity import LEARNING_SLOPE
from costing.models import WhatIf
from costing.services import quotes, what_ifs
from costing.services.price_setting import STILL_PRICED, forget_learning, price_kept
from costing.web.fields import HUNDRED, PercentField
from orders.core.book import joint_types
from orders.core.errors import WorkshopError
from orders.core.species import all_species
from orders.core.supposition import MOST_OFF, Supposition
from orders.core.times import Method
from orders.models import Commission, Joint, Part
from orders.web.access import WorkshopRequest, needs
from orders.web.formats import species_name, type_name
from orders.web.forms import SheetForm, faults_in
from orders.web.found import attempted, commission_of

ZONE = "commissions"
USUAL = (1, 5, 20)
MAY_PRICE = "costing.issue_quotes"


class WhatIfForm(SheetForm):
    """One alternative; what is left as it is stays as it is."""

    takes_focus = False

    name = forms.CharField(label="Call it", max_length=what_ifs.LONGEST_NAME)
    quantity = forms.IntegerField(
        label="Times over", min_value=1, max_value=MOST_OFF, initial=1, required=False
    )
    method = forms.ChoiceField(
        label="Joints are cut",
        required=False,
        choices=[("", "as they are"), (Method.HAND, "by hand"), (Method.MACHINE, "by machine")],
    )
    species_was = forms.ChoiceField(label="In place of", required=False)
    species_to = forms.ChoiceField(label="take", required=False)
    joint_was = forms.ChoiceField(label="In place of", required=False)
    joint_to = forms.ChoiceField(label="make", required=False)
    finish = forms.CharField(label="Finish it with", required=False, max_length=LONGEST_LABEL)
    finish_net = forms.DecimalField(
        label="which costs in all, net",
        required=False,
        min_value=0,
        max_digits=9,
        decimal_places=2,
        help_text="Instead of every line of finish; its work stays.",
    )
    slope = PercentField(
        label="Each doubling takes, % of the time",
        min_value=60,
        max_value=100,
        initial=Decimal(repr(LEARNING_SLOPE)),
        required=False,
        help_text="Hands learn over a quantity; 100 is no learning.",
    )

    def __init__(self, *args: Any, commission: Commission, **more: Any) -> None:
        self.commission = commission
        super().__init__(*args, **more)

    def put_together(self) -> None:
        """The timber and the joints that the commission has, and all that there are."""
        here = {"assembly__commission": self.commission}
        species = Part.objects.filter(**here).order_by("species").values_list("species", flat=True)
        types = Joint.objects.filter(**here).order_by("type").values_list("type", flat=True)
        self.offer("species_was", [(code, species_name(code)) for code in species.distinct()])
        self.offer("species_to", [(code, wood.label) for code, wood in all_species().items()])
        self.offer("joint_was", [(code, type_name(code)) for code in types.distinct()])
        self.offer("joint_to", [(code, kind.label) for code, kind in joint_types().items()])

    def offer(self, name: str, choices: list[tuple[str, str]]) -> None:
        """Let a field choose from these, or from none."""
        field: Any = self.fields[name]
        field.choices = [("", "as it is"), *choices]

    def clean(self) -> dict[str, Any]:
        """What takes a place needs to know which, and the other way round."""
        typed: dict[str, Any] = super().clean() or {}
        for noun in ("species", "joint"):
            was, to = typed.get(f"{noun}_was"), typed.get(f"{noun}_to")
            if was and not to:
                self.add_error(f"{noun}_to", "Choose what takes its place.")
            if to and not was:
                self.add_error(f"{noun}_was", "Choose what it takes the place of.")
        if typed.get("finish") and typed.get("finish_net") is None:
            self.add_error("finish_net", "Give what the finish costs, 0 or more.")
        if typed.get("finish_net") is not None and not typed.get("finish"):
            self.add_error("finish", "Name the finish.")
        return typed

    def other_finish(self) -> SupposedFinish | None:
        """The finish that was supposed."""
        typed = self.cleaned_data
        if not typed["finish"]:
            return None
        return SupposedFinish(label=typed["finish"], net=typed["finish_net"])

    def supposition(self) -> Supposition:
        """What was supposed."""
        typed = self.cleaned_data
        return Supposition(
            quantity=typed["quantity"] or 1,
            method=Method(typed["method"]) if typed["method"] else None,
            species={typed["species_was"]: typed["species_to"]} if typed["species_was"] else {},
            joints={typed["joint_was"]: typed["joint_to"]} if typed["joint_was"] else {},
        )


@require_safe
@needs("costing.see_estimates", zone=ZONE)
def what_if_page(request: WorkshopRequest, pk: int) -> HttpResponse:
    """The commission beside its alternatives, and in several quantities."""
    commission = commission_of(request, pk)
    return shown(request, commission, WhatIfForm(workshop=request.workshop, commission=commission))


@require_POST
@needs(MAY_PRICE, zone=ZONE)
def what_if_add(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Put another alternative beside the others."""
    commission = commission_of(request, pk)
    form = WhatIfForm(request.POST, workshop=request.workshop, commission=commission)
    if form.is_valid():
        with faults_in(form):
            slope = form.cleaned_data["slope"]
            kept = what_ifs.add_what_if(
                commission,
                name=form.cleaned_data["name"],
                supposition=form.supposition(),
                learning_slope=LEARNING_SLOPE if slope is None else float(slope),
                finish=form.other_finish(),
            )
            messages.success(request, f"“{kept.name}” stands beside the others.")
            return redirect("what-ifs", pk=commission.pk)
    return shown(request, commission, form)


def shown(request: WorkshopRequest, commission: Commission, form: WhatIfForm) -> HttpResponse:
    """The page."""
    may_change = commission.stage in STILL_PRICED and request.user.has_perm(MAY_PRICE)
    about = {"commission": commission, "form": form, "may_change": may_change}
    return render(request, "costing/what_ifs.html", {**about, **compared(request, commission)})


def compared(request: WorkshopRequest, commission: Commission) -> dict[str, Any]:
    """The two tables, or the sentence that says why there are none."""
    asked, asked_fault = numbers(request)
    now = timezone.now()
    today = timezone.localdate(now)
    try:
        sides = what_ifs.side_by_side(commission, today, now)
        if sides[0].estimate is None:
            return {"fault": sides[0].fault}
        if not sides[0].estimate.cost:
            return {"is_empty": True}
        breaks = what_ifs.quantities(commission, today, asked)
    except WorkshopError as fault:
        return {"fault": fault.message}
    return {
        "sides": [(side, moved(side, sides[0])) for side in sides],
        "breaks": breaks,
        "kept": price_kept(commission),
        "slope": LEARNING_SLOPE * float(HUNDRED),
        "currency": sides[0].estimate.currency,
        "asked": request.GET.get("quantity", ""),
        "asked_fault": asked_fault,
    }


def numbers(request: WorkshopRequest) -> tuple[tuple[int, ...], str]:
    """The quantities to be priced: the usual ones and the one asked for; what is wrong with it."""
    typed = request.GET.get("quantity", "").strip()
    if not typed:
        return USUAL, ""
    if not (typed.isascii() and typed.isdecimal() and len(typed) <= len(str(MOST_OFF))):
        return USUAL, f"Give a whole number from 1 to {MOST_OFF:,}."
    asked = int(typed)
    if not 1 <= asked <= MOST_OFF:
        return USUAL, f"Give a whole number from 1 to {MOST_OFF:,}."
    return tuple(sorted({*USUAL, asked})), ""


def moved(side: what_ifs.Side, now: what_ifs.Side) -> Any:
    """By how much the net price of one differs from that of the commission as it stands."""
    if side.what_if is None or side.estimate is None or now.estimate is None:
        return None
    return side.estimate.net / side.quantity - now.estimate.net


@require_POST
@needs("orders.edit_commissions", zone=ZONE)
def what_if_adopt(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Make the commission what the alternative supposes."""
    what_if = what_if_of(request, pk)
    if attempted(request, what_ifs.adopt_what_if, what_if, on=timezone.localdate()):
        messages.success(request, f"The commission is now as “{what_if.name}” supposed.")
    return redirect("what-ifs", pk=what_if.commission_id)


@require_POST
@needs(MAY_PRICE, zone=ZONE)
def what_if_remove(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Throw an alternative away."""
    what_if = what_if_of(request, pk)
    if attempted(request, what_ifs.remove_what_if, what_if):
        messages.success(request, f"“{what_if.name}” is gone.")
    return redirect("what-ifs", pk=what_if.commission_id)


@require_POST
@needs(MAY_PRICE, zone=ZONE)
def learning_forget(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Reckon every piece at its standard time again."""
    commission = commission_of(request, pk)
    if attempted(request, forget_learning, commission):
        messages.success(request, "Every piece is reckoned at its standard time.")
    return redirect("what-ifs", pk=commission.pk)


def what_if_of(request: WorkshopRequest, pk: int) -> WhatIf:
    """An alternative of this workshop."""
    rows = WhatIf.objects.of(request.workshop).select_related("commission__workshop")
    found: WhatIf = get_object_or_404(rows, pk=pk)
    return found


@require_POST
@needs(MAY_PRICE, zone=ZONE)
def what_if_offer(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Put an alternative among the options of the draft."""
    what_if = get_object_or_404(
        WhatIf.objects.of(request.workshop).select_related("commission__workshop"), pk=pk
    )
    quote = attempted(
        request, quotes.offer_alternative, what_if, by=request.user, on=timezone.localdate()
    )
    if not quote:
        return redirect("what-ifs", what_if.commission_id)
    messages.success(request, f"“{what_if.name}” stands among the options of {quote.mark}.")
    return redirect("quote-arrange", quote.pk)
