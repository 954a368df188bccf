"""Forms that keep what was typed and set each broken rule beside its field.

How a page uses it, in any package:

    class PartForm(SheetForm):
        name = forms.CharField(max_length=120)
        length_mm = LengthField(label="Length")

    def add_part_page(request, pk):
        assembly = get_object_or_404(Assembly.objects.of(request.workshop), pk=pk)
        form = PartForm(posted(request), workshop=request.workshop)
        if form.is_valid():
            with faults_in(form):
                part = add_part(assembly, **form.values())
                return redirect(part_page, part.pk)
        return render(request, "orders/part.html", {"form": form})

`faults_in` turns any WorkshopError into errors of the form: RuleBroken stands beside the field it
names ("length_mm", or the last word of "parts/2/length_mm"), RulesBroken does so for each, and
whatever names no field of the form stands above all fields. The page is then drawn again from what
was typed. To change a row give `row=`: the form starts from the row's values, carries its version
in a hidden field, and `form.version` goes to the service, whose Stale becomes a note above the
fields. Forms that are not SheetForms may use `faults_in` as well.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from decimal import Decimal
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.http import HttpRequest, QueryDict

from orders.core.errors import RuleBroken, RulesBroken, Stale, WorkshopError
from orders.core.lengths import LengthUnit, format_length, parse_length

from .formats import unit_of

if TYPE_CHECKING:
    from orders.models.owned import Versioned
    from shop.models import Workshop


def posted(request: HttpRequest) -> QueryDict | None:
    """What was sent, also when it is empty; None when the page is only looked at."""
    return request.POST if request.method == "POST" else None


def sent_files(request: HttpRequest) -> Any:
    """The files that were sent with a form."""
    return request.FILES if request.method == "POST" else None


@contextmanager
def faults_in(form: forms.BaseForm, names: Mapping[str, str] | None = None) -> Iterator[None]:
    """Set every WorkshopError raised inside as an error of the form.

    `names` says which field of the form stands for a field of the service, where they differ.
    """
    try:
        yield
    except WorkshopError as error:
        add_fault(form, error, names or {})


def add_fault(
    form: forms.BaseForm, error: WorkshopError, names: Mapping[str, str] = MappingProxyType({})
) -> None:
    """Set one WorkshopError beside the field it names, or above all fields."""
    if isinstance(error, RulesBroken):
        for one in error.errors:
            add_fault(form, one, names)
        return
    if isinstance(error, Stale) and isinstance(form, SheetForm):
        form.take_up_stored()
    field = field_named(form, error.field, names) if isinstance(error, RuleBroken) else None
    form.add_error(field, sentence_of(form, field, error))


def sentence_of(form: forms.BaseForm, field: str | None, error: WorkshopError) -> str:
    """What is wrong, and the nearest value that would do, as the field writes it."""
    if field is None or not isinstance(error, RuleBroken) or error.nearest is None:
        return error.message
    nearest = written(form.fields[field], round(error.nearest, 3))
    return f"{error.message} The nearest that would do: {nearest}."


def field_named(form: forms.BaseForm, path: str, names: Mapping[str, str]) -> str | None:
    """The form's field for a path as services name it, or None if the form has none such."""
    for name in (names.get(path, path), path.rpartition("/")[2]):
        if name in form.fields:
            return name
    return None


def written(field: forms.Field, value: Any) -> str:
    """A value as the field shows it: a choice by its label, a length in the workshop's unit."""
    shown = field.prepare_value(value)
    if isinstance(field, forms.ChoiceField):
        return labels_of(field).get(str(shown), str(shown or ""))
    return "" if shown is None else f"{shown:g}" if isinstance(shown, float) else str(shown)


def labels_of(field: forms.ChoiceField) -> dict[str, str]:
    """The labels of a field's choices by value, whether they stand in groups or not."""
    labels: dict[str, str] = {}
    choices: Any = field.choices
    for key, label in choices:
        inner = label if isinstance(label, list | tuple) else [(key, label)]
        labels.update({str(value): str(words) for value, words in inner})
    return labels


class LengthField(forms.CharField):
    """A length typed in millimetres or inches; its value is exact millimetres."""

    def __init__(self, *, least_mm: Decimal | None = None, **more: Any) -> None:
        self.unit = LengthUnit.MM
        self.least_mm = least_mm
        super().__init__(**{"max_length": 40, **more})
        self.widget.attrs |= {"autocomplete": "off", "class": "figure-field"}

    def clean(self, value: Any) -> Any:
        """The millimetres, or None if it may be left empty and is."""
        text = super().clean(value)
        if not text:
            return None
        try:
            length_mm = parse_length(text, self.unit)
        except RuleBroken as error:
            raise ValidationError(error.message) from error
        if self.least_mm is not None and length_mm < self.least_mm:
            raise ValidationError(f"Give at least {format_length(self.least_mm, self.unit)}.")
        return length_mm.quantize(Decimal("0.001"))

    def prepare_value(self, value: Any) -> Any:
        """Millimetres as the workshop writes them; what was typed stays as it was typed."""
        if isinstance(value, Decimal | float | int):
            return format_length(Decimal(str(value)), self.unit)
        return value

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Compare as it is written."""
        return super().has_changed(self.prepare_value(initial), data)


NO_VALUE = forms.Field.default_error_messages["required"]


LIMITS = {
    MinValueValidator: "Give %(limit_value)s or more.",
    MaxValueValidator: "Give %(limit_value)s or less.",
}


class SheetForm(forms.Form):
    """A form of a sheet: lengths in the workshop's unit, focus where the hand is needed."""

    takes_focus = True

    def __init__(
        self,
        data: Any = None,
        files: Any = None,
        *,
        workshop: Workshop | None = None,
        row: Versioned | None = None,
        initial: Mapping[str, Any] | None = None,
        **more: Any,
    ) -> None:
        self.workshop = workshop
        self.row: Any = row
        self.stored_meanwhile: list[tuple[str, str]] = []
        start = {**(self.values_of(row) if row else {}), **(initial or {})}
        super().__init__(data, files, initial=start, **more)
        self.put_together()
        if row:
            self.fields["version"] = forms.IntegerField(
                widget=forms.HiddenInput, required=False, initial=row.version
            )
        for name, field in self.fields.items():
            if isinstance(field, LengthField):
                field.unit = unit_of(workshop)
            label = str(field.label or name.replace("_", " ")).lower()
            asks = "Choose" if isinstance(field, forms.ChoiceField) else "Give"
            if field.error_messages.get("required") == NO_VALUE:
                field.error_messages["required"] = f"{asks} {label}."
            for validator in field.validators:
                if isinstance(validator, MinValueValidator | MaxValueValidator):
                    validator.message = LIMITS[type(validator)]
        self._focus()

    def put_together(self) -> None:
        """Complete the fields of a form whose choices depend on rows; a place to override."""

    def own(self, model: Any) -> Any:
        """The rows of a model that the form's workshop has; without a workshop there are none."""
        return model.objects.of(self.workshop) if self.workshop else model.objects.none()

    @classmethod
    def values_of(cls, row: Versioned) -> dict[str, Any]:
        """What the fields start from when a row is changed."""
        return {name: getattr(row, name) for name in cls.base_fields if hasattr(row, name)}

    @property
    def version(self) -> int | None:
        """The edition of the row that the person had before them."""
        return self.cleaned_data.get("version")

    def values(self) -> dict[str, Any]:
        """The cleaned values that a service takes by name."""
        return {name: value for name, value in self.cleaned_data.items() if name != "version"}

    def take_up_stored(self) -> None:
        """After somebody else's change: note what is stored now, and let a second save win."""
        if self.row is None:
            return
        self.row.refresh_from_db()
        for name, stored in self.values_of(self.row).items():
            if name not in self.fields:
                continue
            now = written(self.fields[name], stored)
            if now != written(self.fields[name], self.cleaned_data.get(name)):
                self.stored_meanwhile.append((str(self[name].label), now))
        self.retype(version=str(self.row.version))

    def retype(self, **values: str) -> None:
        """Put other values into fields as if they had been typed."""
        typed: Any = self.data
        plain = typed.dict() if isinstance(typed, QueryDict) else dict(typed)
        self.data = {**plain, **{self.add_prefix(name): value for name, value in values.items()}}

    def add_error(self, field: str | None, error: Any) -> None:
        """Note an error and move the focus to the first field that has one."""
        super().add_error(field, error)
        self._focus()

    def _focus(self) -> None:
        """Ask the browser to start in the first wrong field, else in the first field."""
        shown = [n for n, field in self.fields.items() if not field.widget.is_hidden]
        faults = getattr(self, "_errors", None) or {}
        wrong = [name for name in shown if name in faults]
        for name in shown:
            self.fields[name].widget.attrs.pop("autofocus", None)
        for name in (wrong or shown if self.takes_focus else wrong)[:1]:
            self.fields[name].widget.attrs["autofocus"] = True
