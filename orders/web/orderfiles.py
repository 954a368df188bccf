"""Order files on the screen: read one in, with every fault shown where it stands; write one out."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils.text import slugify
from django.views.decorators.http import require_http_methods, require_safe

from orders.core.errors import RuleBroken, RulesBroken, WorkshopError
from orders.services.orderfile import export_order, import_order, order_file_schema

from .access import WorkshopRequest, needs
from .forms import SheetForm, posted, sent_files
from .found import commission_of

ZONE = "commissions"
LARGEST_BYTES = 2_000_000
LONGEST_SHOWN = 200_000


class OrderFileForm(SheetForm):
    """An order file, sent or corrected on the page."""

    file = forms.FileField(
        required=False,
        label="Order file, JSON",
        widget=forms.FileInput(attrs={"accept": ".json,application/json"}),
    )
    text = forms.CharField(
        required=False,
        strip=False,
        label="Or its text",
        widget=forms.Textarea(attrs={"rows": 18, "spellcheck": "false", "class": "code"}),
    )

    def clean(self) -> dict[str, Any]:
        """The text of the file that was sent, else the text on the page."""
        values: dict[str, Any] = super().clean() or {}
        sent = values.get("file")
        if sent:
            if sent.size > LARGEST_BYTES:
                self.add_error("file", "An order file holds 2 MB at most; divide it.")
                return values
            try:
                values["text"] = sent.read().decode("utf-8-sig")
            except UnicodeDecodeError:
                self.add_error("file", "The file is not text in UTF-8; save it as UTF-8.")
                return values
        if not values.get("text", "").strip():
            self.add_error("file", "Choose an order file, or paste its text.")
        return values


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One fault of a document: where it stands, in words, and what to change."""

    place: str
    message: str


@require_http_methods(["GET", "HEAD", "POST"])
@needs("orders.edit_commissions", zone=ZONE)
def order_import(request: WorkshopRequest) -> HttpResponse:
    """Open a commission from an order file, all of it or nothing."""
    form = OrderFileForm(posted(request), sent_files(request), workshop=request.workshop)
    faults: list[Fault] = []
    if form.is_valid():
        try:
            document = json.loads(form.cleaned_data["text"])
            opened = import_order(request.workshop, document, by=request.user)
        except json.JSONDecodeError as error:
            place = f"line {error.lineno}, column {error.colno}"
            faults = [Fault(place=place, message=f"This is not JSON: {error.msg.lower()}.")]
        except RecursionError:
            faults = [Fault(place="whole file", message="It is nested too deep; flatten it.")]
        except WorkshopError as error:
            faults = faults_of(error)
        else:
            messages.success(request, f"Commission {opened.mark} is read in.")
            return redirect(opened)
        show_text(form)
    return render(request, "orders/order_import.html", {"form": form, "faults": faults})


def show_text(form: OrderFileForm) -> None:
    """Put what was sent into the field, so that it can be put right on the page."""
    text = form.cleaned_data["text"]
    if len(text) <= LONGEST_SHOWN:
        form.retype(text=text)


def faults_of(error: WorkshopError) -> list[Fault]:
    """Every fault with its place."""
    if isinstance(error, RulesBroken):
        return [fault for one in error.errors for fault in faults_of(one)]
    path = error.field if isinstance(error, RuleBroken) else ""
    return [Fault(place=place_of(path), message=error.message)]


def place_of(path: str) -> str:
    """A path into a document in words: `assemblies/0/parts/2/name` is assembly 1, part 3, name."""
    nouns = {"assemblies": "assembly", "parts": "part", "joints": "joint", "extras": "extra"}
    words: list[str] = []
    for step in path.split("/"):
        if step.isdecimal() and words:
            words[-1] = f"{nouns.get(words[-1], words[-1])} {int(step) + 1}"
        elif step:
            words.append(step)
    return ", ".join(words) or "whole file"


@require_safe
@needs("orders.see_commissions", zone=ZONE)
def order_export(request: WorkshopRequest, pk: int) -> HttpResponse:
    """The commission as an order file."""
    commission = commission_of(request, pk)
    response = JsonResponse(
        export_order(commission), json_dumps_params={"indent": 2, "ensure_ascii": False}
    )
    name = slugify(f"{commission.mark} {commission.title}")
    response["Content-Disposition"] = f'attachment; filename="{name}.json"'
    return response


@require_safe
@needs("orders.see_commissions", zone=ZONE)
def order_schema(request: WorkshopRequest) -> HttpResponse:
    """The JSON Schema of order files."""
    return JsonResponse(
        order_file_schema(),
        content_type="application/schema+json",
        json_dumps_params={"indent": 2},
    )
