"""The people of the workshop and its own settings: for owners."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from orders.core.errors import WorkshopError
from orders.web.access import WorkshopRequest, needs
from orders.web.forms import faults_in, posted
from shop.models import Membership
from shop.services import people as service
from shop.services.workshops import change_workshop

from .workshop_forms import InviteForm, RoleForm, WorkshopForm

FORM = ["GET", "HEAD", "POST"]
MAY = (
    ("owner", "everything, margins and people included"),
    ("estimator", "commissions, estimates, quotes, rack and rates; sees the wall chart"),
    ("foreman", "wall chart, day sheets, time book and stations; sees no margins"),
    ("hand", "the bench and their own day; sees no money"),
)


@require_safe
@needs("shop.edit_people", zone="workshop")
def people(request: WorkshopRequest) -> HttpResponse:
    """Who belongs to the workshop, and as what."""
    rows = Membership.objects.of(request.workshop).select_related("user", "hand")
    return render(
        request,
        "shop/people.html",
        {
            "people": rows.filter(is_active=True).order_by("user__name", "user__email"),
            "left": rows.filter(is_active=False).order_by("user__name", "user__email"),
            "may": MAY,
        },
    )


@require_http_methods(FORM)
@needs("shop.edit_people", zone="workshop")
def person_add(request: WorkshopRequest) -> HttpResponse:
    """Let a person in; they get a letter with a link."""
    form = InviteForm(posted(request), workshop=request.workshop)
    if form.is_valid():

        def link(uid: str, token: str) -> str:
            return request.build_absolute_uri(reverse("password-reset-set", args=[uid, token]))

        with faults_in(form):
            member = service.invite(request.workshop, by=request.user, link=link, **form.values())
            messages.success(request, f"{member.user} is let in; a letter is on its way.")
            return redirect("people")
    return render(request, "shop/person_form.html", {"form": form, "may": MAY})


@require_http_methods(FORM)
@needs("shop.edit_people", zone="workshop")
def person_change(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Give a person another role."""
    row = person_of(request, pk)
    form = RoleForm(posted(request), workshop=request.workshop, row=row)
    if form.is_valid():
        with faults_in(form):
            service.change_role(row, form.cleaned_data["role"], version=form.version)
            messages.success(request, f"{row.user} is now {form.cleaned_data['role']}.")
            return redirect("people")
    return render(request, "shop/person_form.html", {"form": form, "row": row, "may": MAY})


@require_POST
@needs("shop.edit_people", zone="workshop")
def person_remove(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Shut a person out; what they did stays."""
    row = person_of(request, pk)
    try:
        service.leave(row)
    except WorkshopError as error:
        messages.error(request, error.message)
        return redirect("person-change", pk=row.pk)
    messages.success(request, f"{row.user} can no longer open this workshop.")
    return redirect("people")


def person_of(request: WorkshopRequest, pk: int) -> Membership:
    """The membership, if this workshop has it."""
    rows = Membership.objects.of(request.workshop).select_related("user", "workshop")
    found: Membership = get_object_or_404(rows, pk=pk)
    return found


@require_http_methods(FORM)
@needs("shop.edit_workshop", zone="workshop")
def workshop_settings(request: WorkshopRequest) -> HttpResponse:
    """Name, unit, currency, time zone, and what stands on quotes."""
    form = WorkshopForm(posted(request), workshop=request.workshop, row=request.workshop)
    if form.is_valid():
        with faults_in(form):
            change_workshop(request.workshop, version=form.version, **form.values())
            messages.success(request, "The settings are kept.")
            return redirect("workshop")
    return render(request, "shop/workshop_settings.html", {"form": form})
