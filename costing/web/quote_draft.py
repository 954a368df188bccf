"""Arranging a draft: words of its lines, discounts, options, payments, and what the paper says."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields, replace
from decimal import Decimal
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from costing.core.arrangement import (
    LONGEST_LABEL,
    LONGEST_NOTE,
    LONGEST_TEXT,
    MOST_LEAD_DAYS,
    MOST_ROWS,
    AdjustmentUnit,
    Arrangement,
    AskedAdjustment,
    AskedOption,
    ItemWords,
)
from costing.core.money import plain
from costing.core.offer import StageShare
from costing.core.quotation import OptionKind
from costing.models import Quote
from costing.services import quotations, quotes
from costing.services.lead_times import queue_of
from costing.web.quotes import ZONE, quote_of
from orders.core.errors import RuleBroken, RulesBroken, WorkshopError
from orders.core.language import Language, language_of
from orders.web.access import WorkshopRequest, needs
from orders.web.forms import SheetForm, add_fault, posted

AMOUNT: dict[str, Any] = {"max_digits": 14, "decimal_places": 4}
RATE: dict[str, Any] = {"max_digits": 6, "decimal_places": 3, "required": False}


class Row(SheetForm):
    """A row of one of the tables; a row that says nothing is left out."""

    takes_focus = False

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.empty_permitted = True

    def full_clean(self) -> None:
        """As ever, but a row that was emptied again is no fault."""
        if self.is_bound and not any(
            str(self.data.get(self.add_prefix(name), "")).strip() for name in self.typed
        ):
            self._errors: Any = forms.utils.ErrorDict()
            self.cleaned_data = {}
            return
        super().full_clean()

    @property
    def typed(self) -> list[str]:
        """The fields that a person types into; choices are never empty."""
        return [n for n, field in self.fields.items() if not isinstance(field, forms.ChoiceField)]


class ItemRow(Row):
    """What a line is called on the paper."""

    key = forms.CharField(widget=forms.HiddenInput, required=False)
    label = forms.CharField(max_length=LONGEST_LABEL, required=False, label="On the paper")
    note = forms.CharField(max_length=LONGEST_NOTE, required=False, label="Note under it")


class AdjustmentRow(Row):
    """A discount or a charge on the whole."""

    sign = forms.ChoiceField(
        choices=[("-1", "discount"), ("1", "charge")], required=False, label="What it is"
    )
    label = forms.CharField(max_length=LONGEST_LABEL, label="Called")
    figure = forms.DecimalField(min_value=Decimal("0.0001"), label="How much", **AMOUNT)
    unit = forms.ChoiceField(
        choices=[(AdjustmentUnit.AMOUNT.value, "net"), (AdjustmentUnit.PERCENT.value, "%")],
        required=False,
        label="In",
    )
    tax_rate = forms.DecimalField(label="Tax, %", min_value=0, max_value=100, **RATE)


class OptionRow(Row):
    """What the client may also have."""

    label = forms.CharField(max_length=LONGEST_LABEL, label="Option")
    net = forms.DecimalField(label="Net, more or less", **AMOUNT)
    instead_of = forms.CharField(max_length=LONGEST_LABEL, required=False, label="Instead of")
    note = forms.CharField(max_length=LONGEST_NOTE, required=False, label="Note under it")


class StageRow(Row):
    """A payment."""

    label = forms.CharField(max_length=LONGEST_LABEL, label="Payment")
    percent = forms.DecimalField(
        max_digits=7, decimal_places=4, min_value=0, max_value=100, label="Share, %"
    )
    due = forms.CharField(max_length=LONGEST_NOTE, required=False, label="When it falls due")


def text_field(label: str, rows: int, help_text: str = "") -> forms.CharField:
    """A text of the paper."""
    return forms.CharField(
        label=label,
        required=False,
        max_length=LONGEST_TEXT,
        widget=forms.Textarea({"rows": rows}),
        help_text=help_text,
    )


class OfferForm(SheetForm):
    """What the paper says beside its lines."""

    takes_focus = False

    valid_until = forms.DateField(
        label="Valid until",
        widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
        help_text="The last day on which it can be accepted.",
    )
    language = forms.ChoiceField(
        required=False,
        label="Language of the paper",
        choices=[("", "as the client's"), *((one.value, one.label) for one in Language)],
    )
    lead_days = forms.IntegerField(
        required=False,
        min_value=0,
        max_value=MOST_LEAD_DAYS,
        label="Lead time, working days",
        help_text="Leave empty to promise none.",
    )
    lead_trigger = forms.CharField(
        required=False,
        max_length=LONGEST_LABEL,
        label="Counted from",
        help_text="As “the first payment”, or “approval of the drawing”.",
    )
    finish = forms.CharField(required=False, max_length=LONGEST_NOTE)
    assumptions = text_field("What was taken for granted", 3)
    exclusions = text_field("Not included", 3)
    terms = text_field("Terms", 5)

    def in_order(self) -> Iterator[Any]:
        """The texts, as they stand on the paper."""
        return (self[name] for name in ("assumptions", "exclusions", "terms"))


TABLES: Mapping[str, type[Row]] = {
    "items": ItemRow,
    "adjustments": AdjustmentRow,
    "options": OptionRow,
    "stages": StageRow,
}
BLANK = {"items": 0, "adjustments": 1, "options": 1, "stages": 2}


class Desk:
    """The form of the offer and its four tables of rows, read and faulted together."""

    def __init__(self, quote: Quote, data: Any = None) -> None:
        kept = quotations.arrangement_of(quote)
        self.quote = quote
        self.offer = OfferForm(data, row=quote, initial=_of_offer(quote, kept))
        starts = _rows(quote, kept)
        self.tables: dict[str, Any] = {
            name: forms.formset_factory(form, extra=BLANK[name], max_num=MOST_ROWS)(
                data, prefix=name, initial=starts[name]
            )
            for name, form in TABLES.items()
        }

    def is_valid(self) -> bool:
        """Whether every field can be read."""
        return all([self.offer.is_valid(), *(table.is_valid() for table in self.tables.values())])

    def rows(self, name: str) -> list[Row]:
        """The rows of a table that say something."""
        return [row for row in self.tables[name] if row.cleaned_data]

    def arrangement(self) -> Arrangement:
        """What is asked for."""
        said = self.offer.cleaned_data
        return Arrangement(
            items=tuple(self._items()),
            adjustments=tuple(_adjustment(row.cleaned_data) for row in self.rows("adjustments")),
            options=tuple(_option(row.cleaned_data) for row in self.rows("options")),
            stages=tuple(StageShare(**row.cleaned_data) for row in self.rows("stages")),
            finish=said["finish"],
            assumptions=said["assumptions"],
            exclusions=said["exclusions"],
            lead_days=said["lead_days"] or 0,
            lead_trigger=said["lead_trigger"],
            language=language_of(said["language"]) if said["language"] else None,
        )

    def _items(self) -> Iterator[ItemWords]:
        """The words of lines that are not the assembly's own."""
        names = self.quote.content["reckoning"]["names"]
        for row in self.rows("items"):
            said = ItemWords(**row.cleaned_data)
            if said.label == names.get(said.key):
                said = replace(said, label="")
            if said.label or said.note:
                yield said

    def fault(self, error: WorkshopError) -> None:
        """Set a broken rule beside its field, in its row."""
        for one in error.errors if isinstance(error, RulesBroken) else [error]:
            name, _, rest = (
                one.field.partition("/") if isinstance(one, RuleBroken) else ("", "", "")
            )
            place, _, field = rest.partition("/")
            rows = self.rows(name) if name in self.tables else []
            if field and place.isdigit() and int(place) < len(rows):
                row = rows[int(place)]
                row.add_error(field if field in row.fields else None, one.message)
            elif name in self.tables:
                self.offer.add_error(None, one.message)
            else:
                add_fault(self.offer, one)

    @property
    def faults(self) -> int:
        """How many fields of rows are wrong."""
        return sum(len(row.errors) for table in self.tables.values() for row in table)


def _of_offer(quote: Quote, kept: Arrangement) -> dict[str, Any]:
    said = {one.name: getattr(kept, one.name) for one in fields(kept)}
    known = {name: said[name] for name in OfferForm.base_fields if name in said}
    known |= {"lead_days": kept.lead_days or None, "language": kept.language or ""}
    return {**known, "valid_until": quote.valid_until, "terms": quote.terms}


def _rows(quote: Quote, kept: Arrangement) -> dict[str, list[dict[str, Any]]]:
    """What the rows of each table start from."""
    return {
        "items": [
            {"key": item.key, "label": item.label, "note": item.note}
            for item in quotations.quotation_of(quote).items
        ],
        "adjustments": [
            {
                "sign": "-1" if one.figure < 0 else "1",
                "label": one.label,
                "figure": plain(abs(one.figure)),
                "unit": one.unit.value,
                "tax_rate": None if one.tax_rate is None else plain(one.tax_rate),
            }
            for one in kept.adjustments
        ],
        "options": [
            {
                "label": one.label,
                "net": plain(one.net),
                "instead_of": one.instead_of,
                "note": one.note,
            }
            for one in kept.options
        ],
        "stages": [
            {"label": one.label, "percent": plain(one.percent), "due": one.due}
            for one in kept.stages
        ],
    }


def _adjustment(said: Mapping[str, Any]) -> AskedAdjustment:
    return AskedAdjustment(
        label=said["label"],
        figure=said["figure"] * int(said["sign"] or -1),
        unit=AdjustmentUnit(said["unit"] or AdjustmentUnit.AMOUNT),
        tax_rate=said["tax_rate"],
    )


def _option(said: Mapping[str, Any]) -> AskedOption:
    kind = OptionKind.ALTERNATIVE if said["instead_of"] else OptionKind.ADDITION
    return AskedOption(
        label=said["label"],
        net=said["net"],
        kind=kind,
        instead_of=said["instead_of"],
        note=said["note"],
    )


@require_http_methods(["GET", "HEAD", "POST"])
@needs("costing.issue_quotes", zone=ZONE)
def quote_arrange(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Arrange a draft; what is issued is only looked at."""
    quote = quote_of(request, pk)
    if quote.state != Quote.State.DRAFT or "reckoning" not in quote.content:
        messages.error(request, f"Quote {quote.mark} is no draft that can be changed.")
        return redirect(quote)
    desk = Desk(quote, posted(request))
    if desk.is_valid():
        try:
            quotes.arrange(
                quote,
                desk.arrangement(),
                valid_until=desk.offer.cleaned_data["valid_until"],
                terms=desk.offer.cleaned_data["terms"],
                on=timezone.localdate(),
                version=desk.offer.version,
            )
        except WorkshopError as error:
            desk.fault(error)
        else:
            messages.success(request, f"Quote {quote.mark} says so now.")
            if "usual" in request.POST:
                quote.refresh_from_db()
                quotes.keep_as_usual(quote)
                messages.success(request, "New quotes begin with its payments and texts.")
            stays = "more" in request.POST
            return redirect("quote-arrange", quote.pk) if stays else redirect(quote)
    return render(request, "costing/quote_arrange.html", shown(desk))


def shown(desk: Desk) -> dict[str, Any]:
    """The page of a desk."""
    quote = desk.quote
    hint_at_lead_time(desk)
    tables: Sequence[tuple[str, Any]] = list(desk.tables.items())
    return {
        "quote": quote,
        "commission": quote.commission,
        "form": desk.offer,
        "tables": tables,
        "faults": desk.faults,
        "said": quotations.quotation_of(quote),
    }


def hint_at_lead_time(desk: Desk) -> None:
    """Say under the field what the work in hand implies."""
    commission = desk.quote.commission
    queue = queue_of(commission.workshop, timezone.now(), but=commission)
    lead = queue.lead_time(quotations.estimate_of(desk.quote).hours.p80)
    field = desk.offer.fields["lead_days"]
    if lead:
        field.help_text = (
            f"With the work in hand, {lead.working_days} at four chances in five if it were"
            " ordered today. Leave empty to promise none."
        )
    else:
        field.help_text = "The work in hand fills a year. Leave empty to promise none."
