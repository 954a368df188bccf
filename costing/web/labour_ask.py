"""What the pages of labour are asked: from when to when, which wood, which way."""

from __future__ import annotations

from typing import Any

from django import forms

from costing.services.labour import Asked, joints_clocked, species_clocked
from orders.web.forms import SheetForm

ZONE = "labour"
MAY_SEE = "costing.see_labour"
MAY_JUDGE = "costing.judge_labour"


class PeriodForm(SheetForm):
    """From when to when, which wood, which way."""

    takes_focus = False
    since = forms.DateField(
        required=False, label="From", widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d")
    )
    until = forms.DateField(
        required=False, label="To", widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d")
    )
    species = forms.ChoiceField(required=False)
    method = forms.ChoiceField(
        required=False, choices=[("", "either"), ("hand", "by hand"), ("machine", "by machine")]
    )

    def put_together(self) -> None:
        """Offer the species that were worked."""
        if self.workshop:
            species: Any = self.fields["species"]
            species.choices = [("", "every species"), *species_clocked(self.workshop)]

    def asked(self) -> Asked:
        """What the service is asked; a field that is wrong asks for nothing."""
        self.is_valid()
        known = Asked.__dataclass_fields__
        typed = {name: value for name, value in self.cleaned_data.items() if value}
        return Asked(**{name: value for name, value in typed.items() if name in known})


class AskForm(PeriodForm):
    """Which clockings are looked at."""

    joint = forms.ChoiceField(required=False, label="Joint type")

    def put_together(self) -> None:
        """Offer the joint types that were worked, too."""
        super().put_together()
        if self.workshop:
            joint: Any = self.fields["joint"]
            joint.choices = [("", "every joint type"), *joints_clocked(self.workshop)]


class AskWithinForm(PeriodForm):
    """The same within one operation of a joint type, which the address carries along."""

    joint = forms.CharField(required=False, widget=forms.HiddenInput)
    operation = forms.CharField(required=False, widget=forms.HiddenInput)
