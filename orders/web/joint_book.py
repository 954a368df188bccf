"""The joint book: every type drawn on its usual sections, and a page to try one on others."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django import forms
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils.safestring import SafeString
from django.views.decorators.http import require_safe

from orders.core.book import JointStudy, joint_types, study
from orders.core.errors import WorkshopError
from orders.core.joint import Joint, OwnField, Section
from orders.core.times import Method, StandardTimes, TimedOperation, minutes_for
from orders.services.standards import current_times

from .access import WorkshopRequest, needs
from .drawings import plate_of, small_isometric
from .formats import unit_of
from .forms import LengthField, SheetForm, add_fault
from .joint_form import field_for, plain, written

ZONE = "joint-book"
LEAST_MM = Decimal("0.1")
SIZES = ("width_mm", "thickness_mm", "length_mm")


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """The operations of one joint by one method."""

    method: str
    operations: tuple[TimedOperation, ...]

    @property
    def setup_min(self) -> float:
        """Minutes spent once, however many joints."""
        return sum(operation.setup_min for operation in self.operations)

    @property
    def each_min(self) -> float:
        """Minutes for each joint."""
        return sum(operation.each_min for operation in self.operations)


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One type in the book."""

    study: JointStudy
    drawing: SafeString
    work: tuple[Work, ...]


class TrialForm(SheetForm):
    """Two sections and the dimensions of a type, to see what becomes of them."""

    takes_focus = False

    def __init__(self, *args: Any, kind: type[Joint], **more: Any) -> None:
        self.kind = kind
        super().__init__(*args, **more)

    def put_together(self) -> None:
        """The sizes of both parts, then the dimensions of the type."""
        for key, example in zip("ab", self.kind.example, strict=True):
            for size in SIZES:
                self.fields[f"{key}/{size}"] = LengthField(
                    label=size.removesuffix("_mm").capitalize(),
                    initial=getattr(example, size),
                    least_mm=LEAST_MM,
                )
        for own in self.kind.fields(*self.asked_sections()):
            self.fields[own.name] = field_for(own, unit_of(self.workshop))

    def asked_sections(self) -> tuple[Section, Section]:
        """The sections for which the rules of thumb are shown: those asked for, if they can be."""
        field = LengthField()
        field.unit = unit_of(self.workshop)
        try:
            a, b = (
                Section(**{s: float(field.clean(self.data.get(f"{key}/{s}", ""))) for s in SIZES})
                for key in "ab"
            )
            self.kind.fields(a, b)
        except (forms.ValidationError, WorkshopError):
            return self.kind.example
        return a, b

    def joint(self) -> Joint:
        """The joint as it stands in the form; raises RuleBroken where it cannot be made."""
        if not self.is_bound:
            return self.kind.fitted(*self.kind.example)
        values = self.cleaned_data
        a, b = (Section(**{size: float(values[f"{key}/{size}"]) for size in SIZES}) for key in "ab")
        given = {
            own.name: plain(values[own.name])
            for own in self.kind.fields()
            if values.get(own.name) not in (None, "")
        }
        return self.kind.fitted(a, b, **given)

    def sizes_of(self, key: str) -> list[Any]:
        """The bound fields of one part's sizes."""
        return [self[f"{key}/{size}"] for size in SIZES]

    @property
    def a_fields(self) -> list[Any]:
        """The sizes of the part that receives."""
        return self.sizes_of("a")

    @property
    def b_fields(self) -> list[Any]:
        """The sizes of the part that enters."""
        return self.sizes_of("b")

    @property
    def own_fields(self) -> list[Any]:
        """The dimensions of the type."""
        return [self[own.name] for own in self.kind.fields()]


@require_safe
@needs("orders.see_joint_book", zone=ZONE)
def joint_book(request: WorkshopRequest) -> HttpResponse:
    """Every type, drawn on its usual sections."""
    times = current_times(request.workshop)
    entries = [entry_of(kind, times) for kind in joint_types().values()]
    return render(request, "orders/joint_book.html", {"entries": entries, "times": times})


@require_safe
@needs("orders.see_joint_book", zone=ZONE)
def joint_type_page(request: WorkshopRequest, code: str) -> HttpResponse:
    """One type, on its usual sections or on those asked for."""
    kind = joint_types().get(code)
    if kind is None:
        raise Http404(f"The joint book has no type {code}.")
    times = current_times(request.workshop)
    form = TrialForm(request.GET or None, workshop=request.workshop, kind=kind)
    joint = tried(form)
    found = study(joint or kind.fitted(*kind.example))
    return render(
        request,
        "orders/joint_type.html",
        {
            "joint": found.joint,
            "form": form,
            "is_example": joint is None,
            "plate": plate_of(found, unit_of(request.workshop), is_large=True),
            "outdoor": found.outdoor_advice,
            "rules": rules_of(found, unit_of(request.workshop)),
            "work": works(found, times),
            "times": times,
        },
    )


def tried(form: TrialForm) -> Joint | None:
    """The joint asked for, or None with the reason beside its field."""
    if form.is_bound and not form.is_valid():
        return None
    try:
        return form.joint()
    except WorkshopError as fault:
        add_fault(form, fault)
        return None


def entry_of(kind: type[Joint], times: StandardTimes) -> Entry:
    """A type as the list shows it."""
    found = study(kind.fitted(*kind.example))
    return Entry(
        study=found,
        drawing=small_isometric(found, f"iso-{kind.code}"),
        work=works(found, times),
    )


def works(found: JointStudy, times: StandardTimes) -> tuple[Work, ...]:
    """The work of one joint, by hand and by machine."""
    return tuple(
        Work(method=f"by {method.value}", operations=minutes_for(found, 1, method, times=times))
        for method in (Method.HAND, Method.MACHINE)
    )


def rules_of(found: JointStudy, unit: Any) -> list[tuple[OwnField, str]]:
    """The dimensions with their rules, and the value each has here."""
    joint = found.joint
    values = joint.own_dimensions()
    rows = []
    for own in joint.fields(joint.a, joint.b):
        value = values.get(own.name, "")
        rows.append((own, value if isinstance(value, str) else written(own, value, unit)))
    return rows
