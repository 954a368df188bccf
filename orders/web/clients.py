"""Clients: the list, one client with their commissions, a new one."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import Count, Q
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from orders.core.language import Language
from orders.core.stages import Stage
from orders.models import Client
from orders.services import clients

from .access import WorkshopRequest, needs
from .forms import SheetForm, faults_in, posted
from .found import client_of

ZONE = "commissions"
ON_A_PAGE = 50


class ClientForm(SheetForm):
    """Who the client is and how to reach them."""

    name = forms.CharField(max_length=120)
    contact = forms.CharField(max_length=120, required=False, label="Contact person")
    email = forms.EmailField(required=False, label="E-mail address")
    phone = forms.CharField(max_length=40, required=False)
    address = forms.CharField(
        required=False, max_length=1000, widget=forms.Textarea(attrs={"rows": 4})
    )
    tax_number = forms.CharField(max_length=30, required=False, label="Tax number")
    language = forms.ChoiceField(
        required=False,
        label="Language of papers",
        choices=[("", "as the workshop's"), *((one.value, one.label) for one in Language)],
    )
    country = forms.CharField(
        required=False, max_length=2, help_text="Two letters, as IE; empty for the workshop's own."
    )


@require_safe
@needs("orders.see_clients", zone=ZONE)
def client_list(request: WorkshopRequest) -> HttpResponse:
    """The clients by name, with what they have open."""
    is_open = ~Q(commissions__stage__in=[Stage.CLOSED, Stage.DECLINED])
    counts = {
        "open_count": Count("commissions", filter=is_open),
        "all_count": Count("commissions"),
    }
    rows = Client.objects.of(request.workshop).annotate(**counts).order_by("name", "pk")
    sought = request.GET.get("q", "").strip()[:120]
    if sought:
        rows = rows.filter(Q(name__icontains=sought) | Q(contact__icontains=sought))
    page = Paginator(rows, ON_A_PAGE).get_page(request.GET.get("page"))
    return render(request, "orders/clients.html", {"page": page, "sought": sought})


@require_safe
@needs("orders.see_clients", zone=ZONE)
def client_page(request: WorkshopRequest, pk: int) -> HttpResponse:
    """One client and their commissions."""
    client = client_of(request, pk)
    rows = client.commissions.select_related("client")
    return render(
        request,
        "orders/client.html",
        {"client": client, "commissions": rows, "today": timezone.localdate()},
    )


@require_http_methods(["GET", "HEAD", "POST"])
@needs("orders.edit_clients", zone=ZONE)
def client_new(request: WorkshopRequest) -> HttpResponse:
    """Add a client."""
    form = ClientForm(posted(request), workshop=request.workshop)
    if form.is_valid():
        with faults_in(form):
            client = clients.add_client(request.workshop, **form.values())
            messages.success(request, f"{client.name} is added.")
            return redirect(client)
    return render(request, "orders/client_form.html", {"form": form})


@require_http_methods(["GET", "HEAD", "POST"])
@needs("orders.edit_clients", zone=ZONE)
def client_change(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Change a client."""
    client = client_of(request, pk)
    form = ClientForm(posted(request), workshop=request.workshop, row=client)
    if form.is_valid():
        with faults_in(form):
            changed = clients.change_client(client, version=form.version, **form.values())
            messages.success(request, f"{changed.name} is changed.")
            return redirect(changed)
    return render(request, "orders/client_form.html", {"form": form, "client": client})
