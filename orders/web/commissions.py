"""Commissions: the list, a new one, its heading, its stages."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.core.paginator import Paginator
from django.db import transaction
from django.db.models import Q
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from orders.core.exposure import DurabilityClass, Exposure
from orders.models import Client, Commission
from orders.services import clients, commissions

from .access import WorkshopRequest, needs
from .forms import SheetForm, faults_in, posted
from .found import attempted, commission_of

ZONE = "commissions"
ON_A_PAGE = 50


class CommissionForm(SheetForm):
    """Whose work it is, what it is, when it is due and where it will stand."""

    title = forms.CharField(max_length=120, label="What is commissioned")
    client = forms.ModelChoiceField(
        queryset=Client.objects.none(), required=False, empty_label="a new client, named beside"
    )
    new_client = forms.CharField(max_length=120, required=False, label="New client's name")
    due_on = forms.DateField(
        required=False,
        label="Due",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    timber_on = forms.DateField(
        required=False,
        label="Timber arrives",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text="Nothing is begun before that day; leave it empty when the timber is there.",
    )
    weight = forms.DecimalField(
        label="Importance",
        initial=1,
        min_value=0,
        help_text="1 is usual; a late day of an order of importance 2 counts double in the plan.",
    )
    exposure = forms.ChoiceField(
        label="Where it will stand",
        choices=[(exposure.value, exposure.label) for exposure in Exposure],
        help_text="It gives the lowest glue class that will do.",
    )
    glue_class = forms.ChoiceField(
        required=False,
        label="Glue class",
        choices=[("", "the lowest that will do"), *((c.value, c.value) for c in DurabilityClass)],
    )
    glue_reason = forms.CharField(
        max_length=200,
        required=False,
        label="Reason for a lower class",
        help_text="Needed only when the class is lower than the place asks for.",
    )
    note = forms.CharField(
        required=False, max_length=10_000, widget=forms.Textarea(attrs={"rows": 3})
    )

    def put_together(self) -> None:
        """Offer the workshop's clients; keep what is frozen from change."""
        client: Any = self.fields["client"]
        client.is_one_of = self.fields["new_client"].is_one_of = True  # type: ignore[attr-defined]
        client.queryset = Client.objects.filter(workshop=self.workshop)
        if isinstance(self.row, Commission) and self.row.is_frozen:
            for name in commissions.FROZEN:
                self.fields[name].disabled = True

    def clean(self) -> dict[str, Any]:
        """One client, chosen or named."""
        values: dict[str, Any] = super().clean() or {}
        chosen, named = values.get("client"), values.get("new_client")
        if not chosen and not named:
            self.add_error("client", "Choose the client, or name a new one beside.")
        if chosen and named:
            self.add_error("new_client", "Choose a client or name a new one, not both.")
        return values

    def values(self) -> dict[str, Any]:
        """What the services take; a client named new is added, or found by that name."""
        values = super().values()
        named = values.pop("new_client")
        if named:
            known = clients.client_named(self.workshop, named)  # type: ignore[arg-type]
            values["client"] = known or clients.add_client(self.workshop, name=named)  # type: ignore[arg-type]
        return values


@require_safe
@needs("orders.see_commissions", zone=ZONE)
def commission_list(request: WorkshopRequest) -> HttpResponse:
    """The commissions, open ones unless all are asked for, narrowed by a few letters."""
    everything = Commission.objects.of(request.workshop)
    rows = everything.select_related("client")
    show_all = request.GET.get("show") == "all"
    if not show_all:
        rows = rows.open()
    sought = request.GET.get("q", "").strip()[:120]
    if sought:
        words = Q(title__icontains=sought) | Q(client__name__icontains=sought)
        if sought.isdecimal():
            words |= Q(number=int(sought[:9]))
        rows = rows.filter(words)
    page = Paginator(rows, ON_A_PAGE).get_page(request.GET.get("page"))
    return render(
        request,
        "orders/commissions.html",
        {
            "page": page,
            "sought": sought,
            "show_all": show_all,
            "is_first": not page.object_list and not everything.exists(),
            "today": timezone.localdate(),
        },
    )


@require_http_methods(["GET", "HEAD", "POST"])
@needs("orders.edit_commissions", zone=ZONE)
def commission_new(request: WorkshopRequest) -> HttpResponse:
    """Open a commission, with a client of long standing or a new one."""
    initial = {"client": request.GET.get("client")} if request.GET.get("client") else {}
    form = CommissionForm(posted(request), workshop=request.workshop, initial=initial)
    if form.is_valid():
        with faults_in(form, {"name": "new_client"}), transaction.atomic():
            opened = commissions.open_commission(request.workshop, by=request.user, **form.values())
            messages.success(request, f"Commission {opened.mark} is open.")
            return redirect(opened)
    return render(request, "orders/commission_form.html", {"form": form})


@require_http_methods(["GET", "HEAD", "POST"])
@needs("orders.edit_commissions", zone=ZONE)
def commission_change(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Change the heading of a commission."""
    commission = commission_of(request, pk)
    form = CommissionForm(posted(request), workshop=request.workshop, row=commission)
    if form.is_valid():
        with faults_in(form, {"name": "new_client"}), transaction.atomic():
            changed = commissions.change_commission(
                commission, version=form.version, **form.values()
            )
            messages.success(request, f"{changed.mark} is changed.")
            return redirect(changed)
    return render(request, "orders/commission_form.html", {"form": form, "commission": commission})


@require_POST
@needs("orders.edit_commissions", zone=ZONE)
def commission_duplicate(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Open a new enquiry with the same breakdown."""
    commission = commission_of(request, pk)
    twin = attempted(request, commissions.duplicate_commission, commission, by=request.user)
    if twin is None:
        return redirect(commission)
    messages.success(request, f"{twin.mark} is a copy of {commission.mark}; its due day is open.")
    return redirect(twin)
