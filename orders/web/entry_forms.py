"""The forms by which a breakdown is typed in: assemblies, parts, extra work."""

from __future__ import annotations

from typing import Any

from django import forms

from orders.core.species import all_species
from orders.models import Assembly, Part
from orders.models.assembly import MOST

from .forms import LengthField, SheetForm


def count_field(label: str, **more: Any) -> forms.IntegerField:
    """A whole number of pieces, one unless told."""
    return forms.IntegerField(label=label, initial=1, min_value=1, max_value=MOST, **more)


def species_choices() -> list[tuple[str, Any]]:
    """The species table for a form: hardwoods, then softwoods, by name."""
    kinds = sorted(all_species().values(), key=lambda kind: kind.label)
    return [
        ("", "choose"),
        ("Hardwoods", [(kind.code, kind.label) for kind in kinds if kind.is_hardwood]),
        ("Softwoods", [(kind.code, kind.label) for kind in kinds if not kind.is_hardwood]),
    ]


class AssemblyForm(SheetForm):
    """What is made and glued up together."""

    name = forms.CharField(max_length=120)
    quantity = count_field("How many")
    parent = forms.ModelChoiceField(
        queryset=Assembly.objects.none(),
        required=False,
        label="Part of",
        empty_label="the commission itself",
    )

    def __init__(self, *args: Any, siblings: Any, **more: Any) -> None:
        self.siblings = siblings
        super().__init__(*args, **more)

    def put_together(self) -> None:
        """Offer the assemblies of the same commission."""
        parent: Any = self.fields["parent"]
        parent.queryset = self.siblings


class PartForm(SheetForm):
    """Equal pieces by their finished size."""

    name = forms.CharField(max_length=120, label="Part")
    species = forms.ChoiceField(choices=species_choices)
    thickness_mm = LengthField(label="Thickness")
    width_mm = LengthField(label="Width")
    length_mm = LengthField(label="Length")
    quantity = count_field("Pieces", help_text="In one assembly.")
    mark = forms.CharField(max_length=8, required=False)
    grain = forms.ChoiceField(choices=Part.Grain.choices, label="Grain runs")
    note = forms.CharField(max_length=200, required=False)


class ExtraForm(SheetForm):
    """Work that belongs to no joint."""

    operation = forms.ChoiceField()
    name = forms.CharField(
        max_length=120, required=False, help_text="Leave empty for the operation's usual name."
    )
    minutes = forms.DecimalField(
        required=False,
        max_digits=8,
        decimal_places=2,
        help_text="For one assembly. Leave empty for the standard time.",
    )
    count = count_field("Times")

    def __init__(self, *args: Any, operations: list[tuple[str, str]], **more: Any) -> None:
        self.operations = operations
        super().__init__(*args, **more)

    def put_together(self) -> None:
        """Offer the operations of the standard times."""
        operation: Any = self.fields["operation"]
        operation.choices = self.operations
