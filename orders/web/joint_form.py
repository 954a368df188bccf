"""The form of a joint: its fields follow the chosen type, its rules of thumb the chosen parts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms

from orders.core.book import JointStudy, joint_types, study
from orders.core.errors import RuleBroken
from orders.core.fixings import all_fixings, all_jigs
from orders.core.joint import Joint as JointType
from orders.core.joint import OwnField, Unit
from orders.core.lengths import LengthUnit
from orders.core.species import Species, all_species
from orders.models import Assembly, Joint, Part
from orders.services.fitting import fit, section_of

from .entry_forms import count_field
from .formats import shown_length, size, unit_of
from .forms import LengthField, SheetForm

PREFIX = "dimensions/"
NO_FIXING: list[tuple[str, Any]] = [("", "none")]
NO_JIG = [("", "none")]


def fixing_choices() -> list[tuple[str, Any]]:
    """The fixings by their kind."""
    kinds: dict[str, list[tuple[str, str]]] = {}
    for one in all_fixings().values():
        words = one.kind.value.replace("-", " ")
        kinds.setdefault(words, []).append((one.code, one.label))
    return list(kinds.items())


def field_for(own: OwnField, unit: LengthUnit) -> forms.Field:
    """A field that may stay empty; its placeholder is the rule of thumb's value."""
    label = own.label[:1].upper() + own.label[1:]
    common: dict[str, Any] = {"label": label, "required": False, "help_text": own.rule}
    if own.unit is Unit.CHOICE:
        usual = f"the usual: {own.default}" if own.default else "the usual"
        words = [("", usual), *((word, word) for word in own.choices)]
        return forms.ChoiceField(choices=words, **common)
    if own.unit is Unit.MM:
        field: forms.Field = LengthField(**common)
    elif own.unit is Unit.COUNT:
        field = forms.IntegerField(**common)
    else:
        field = forms.FloatField(**common)
    if isinstance(own.default, int | float):
        field.widget.attrs["placeholder"] = f"{written(own, own.default, unit)} by rule"
    return field


def written(own: OwnField, value: float, unit: LengthUnit) -> str:
    """A dimension as the workshop writes it; a rule of thumb's to a tenth of a millimetre."""
    return shown_length(round(value, 1), unit) if own.unit is Unit.MM else f"{value:g}"


def plain(value: Any) -> float | int | str:
    """A cleaned dimension as the joint book takes it."""
    return value if isinstance(value, str | int) else float(value)


class PartChoice(forms.ModelChoiceField):  # type: ignore[type-arg]
    """A part of the assembly by mark, name and size."""

    workshop: Any = None

    def label_from_instance(self, obj: Any) -> str:
        return f"{obj} {size(obj, self.workshop)}"


class JointForm(SheetForm):
    """Which parts meet, how, how often, and by what dimensions."""

    type = forms.ChoiceField()
    part_a = PartChoice(queryset=Part.objects.none(), empty_label="choose")
    part_b = PartChoice(queryset=Part.objects.none(), empty_label="choose")
    count = count_field("How many", help_text="In one assembly.")
    method = forms.ChoiceField(
        choices=Joint.Method.choices, widget=forms.RadioSelect, initial=Joint.Method.MACHINE
    )
    name = forms.CharField(max_length=120, required=False)
    mark = forms.CharField(max_length=8, required=False)
    fixing = forms.ChoiceField(
        required=False, choices=lambda: NO_FIXING + fixing_choices(), help_text="Beside the glue."
    )
    fixing_count = forms.IntegerField(
        label="Of it in one joint", required=False, min_value=1, max_value=200
    )
    jig = forms.ChoiceField(
        required=False,
        choices=lambda: NO_JIG + [(one.code, one.label) for one in all_jigs().values()],
        help_text="Set up once for all of them.",
    )

    def __init__(self, *args: Any, assembly: Assembly, **more: Any) -> None:
        self.assembly = assembly
        self.parts = {part.pk: part for part in assembly.parts.all()}
        super().__init__(*args, **more)

    @classmethod
    def values_of(cls, row: Any) -> dict[str, Any]:
        """The joint's own fields, and its dimensions one by one."""
        own = {PREFIX + name: value for name, value in row.dimensions.items()}
        if row.fixings:
            own |= {"fixing": row.fixings[0]["fixing"], "fixing_count": row.fixings[0]["count"]}
        return {**super().values_of(row), "part_a": row.part_a_id, "part_b": row.part_b_id, **own}

    def put_together(self) -> None:
        """Offer types and parts, and the dimensions of the type that is chosen."""
        types = joint_types()
        kind_field: Any = self.fields["type"]
        kind_field.choices = [(code, kind.label) for code, kind in types.items()]
        self.kind: type[JointType] | None = types.get(self.typed("type"))
        for side, label in (("part_a", "receives"), ("part_b", "enters")):
            field: Any = self.fields[side]
            field.workshop = self.workshop
            field.queryset = self.assembly.parts.all()
            own_name = getattr(self.kind, f"{side[-1]}_label", "part")
            field.label = f"The {own_name}, which {label}"
        for own in self.own_fields():
            self.fields[PREFIX + own.name] = field_for(own, unit_of(self.workshop))

    def typed(self, name: str) -> str:
        """What stands in a field before anything is checked."""
        if self.is_bound:
            return str(self.data.get(self.add_prefix(name), ""))
        return str(self.initial.get(name) or "")

    def chosen(self, side: str) -> Part | None:
        """The part chosen for a side, if it is one of the assembly."""
        key = self.typed(side)
        return self.parts.get(int(key)) if key.isdecimal() and len(key) < 12 else None

    def own_fields(self) -> tuple[OwnField, ...]:
        """The dimensions of the type, with what the rules of thumb say for the chosen parts."""
        if self.kind is None:
            return ()
        a, b = self.chosen("part_a"), self.chosen("part_b")
        if a is None or b is None:
            return self.kind.fields()
        try:
            return self.kind.fields(section_of(a), section_of(b))
        except RuleBroken:
            return self.kind.fields()

    @property
    def summary(self) -> str:
        """The chosen type in a sentence."""
        return self.kind.summary if self.kind else ""

    @property
    def dimension_fields(self) -> list[Any]:
        """The bound fields of the dimensions, in the order to ask for them."""
        return [self[name] for name in self.fields if name.startswith(PREFIX)]

    def dimensions(self) -> dict[str, Any]:
        """The dimensions that were given."""
        source: Mapping[str, Any] = self.cleaned_data if self.is_bound else self.initial
        given = {
            name.removeprefix(PREFIX): value
            for name, value in source.items()
            if name.startswith(PREFIX) and value not in (None, "")
        }
        return {name: plain(value) for name, value in given.items()}

    def values(self) -> dict[str, Any]:
        """What the services take, the dimensions as one value."""
        own = {
            name: value for name, value in super().values().items() if not name.startswith(PREFIX)
        }
        fixings = self.fixings(own)
        return {**own, "dimensions": self.dimensions(), "fixings": fixings}

    def fixings(self, typed: dict[str, Any]) -> list[dict[str, Any]]:
        """The fixing of the form before any others that the joint carries."""
        code, count = typed.pop("fixing"), typed.pop("fixing_count")
        first = [{"fixing": code, "count": count or 1}] if code else []
        return [*first, *(self.row.fixings[1:] if self.row else ())]

    def woods(self) -> tuple[Species, Species] | None:
        """The species of both parts, once both are chosen and known."""
        a, b = self.chosen("part_a"), self.chosen("part_b")
        known = all_species()
        if a is None or b is None or a.species not in known or b.species not in known:
            return None
        return known[a.species], known[b.species]

    def study(self) -> JointStudy | None:
        """What the joint book says of the joint as it stands in the form.

        Raises RuleBroken where it cannot be made; None while a type or part is missing.
        """
        a, b = self.chosen("part_a"), self.chosen("part_b")
        if self.kind is None or a is None or b is None:
            return None
        return study(fit(self.kind.code, a, b, self.dimensions()))
