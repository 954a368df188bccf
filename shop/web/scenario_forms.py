"""The forms of a scenario: one for each kind of change."""

from __future__ import annotations

from typing import Any

from django import forms

from orders.core.stages import Stage
from orders.core.times import Skill
from orders.models import Commission
from orders.web.forms import SheetForm
from shop.core.scenario import (
    DEAREST_OVERTIME,
    LONGEST_OVERTIME_MIN,
    Away,
    Change,
    Hire,
    LeaveOut,
    Overtime,
    SecondStation,
    TakeOrder,
)
from shop.models import WEEKDAYS, Hand, HandSkill, Station, WorkingCalendar
from shop.services.promising import AHEAD

from .time_book import MomentField

LEVELS = [("", "no"), *((str(level), word) for level, word in HandSkill.level.field.choices or [])]


class ScenarioForm(SheetForm):
    """A scenario by its name."""

    takes_focus = False
    name = forms.CharField(
        label="Name of a new scenario",
        max_length=60,
        error_messages={"required": "Give it a name, such as “a second mortiser”."},
        widget=forms.TextInput({"autocomplete": "off"}),
    )


class HireForm(SheetForm):
    """Another hand."""

    title, act = "Hire a hand", "Suppose this hand"
    name = forms.CharField(label="Called", max_length=40, initial="A new hand")
    calendar: Any = forms.ModelChoiceField(None, label="Hours", empty_label=None)

    def put_together(self) -> None:
        """A choice for each skill, and the weeks of the workshop."""
        self.fields["calendar"].queryset = self.own(WorkingCalendar)  # type: ignore[attr-defined]
        for skill in Skill:
            self.fields[skill.value] = forms.ChoiceField(
                label=skill.value.capitalize(), choices=LEVELS, required=False, initial="2"
            )

    @property
    def change(self) -> Change:
        """What is supposed."""
        said = self.cleaned_data
        skills = {skill.value: int(said[skill.value]) for skill in Skill if said[skill.value]}
        return Hire(name=said["name"], skills=skills, calendar=said["calendar"].pk)


class OvertimeForm(SheetForm):
    """More hours on some weekdays."""

    title, act = "Work longer", "Suppose these hours"
    hand: Any = forms.ModelChoiceField(None, label="Who", required=False, empty_label="everybody")
    minutes = forms.IntegerField(
        label="Minutes more a day", min_value=15, max_value=LONGEST_OVERTIME_MIN, initial=60
    )
    price = forms.FloatField(
        label="Worth it from",
        min_value=0.01,
        max_value=DEAREST_OVERTIME,
        initial=0.25,
        help_text="Hours that an order is less late, for each hour of it.",
    )
    weekdays = forms.MultipleChoiceField(
        label="On", choices=WEEKDAYS, widget=forms.CheckboxSelectMultiple, initial=[0, 1, 2, 3, 4]
    )

    def put_together(self) -> None:
        """Everybody who works here."""
        self.fields["hand"].queryset = self.own(Hand).filter(is_in_use=True)  # type: ignore[attr-defined]

    @property
    def change(self) -> Change:
        """What is supposed."""
        said = self.cleaned_data
        return Overtime(
            hand=said["hand"].pk if said["hand"] else None,
            minutes=said["minutes"],
            price=said["price"],
            weekdays=tuple(map(int, said["weekdays"])),
        )


class SecondStationForm(SheetForm):
    """Another station like one there is."""

    title, act = "Buy a second one", "Suppose a second one"
    station: Any = forms.ModelChoiceField(None, label="Another like", empty_label=None)

    def put_together(self) -> None:
        """The stations in use."""
        self.fields["station"].queryset = self.own(Station).filter(is_in_use=True)  # type: ignore[attr-defined]

    @property
    def change(self) -> Change:
        """What is supposed."""
        return SecondStation(station=self.cleaned_data["station"].pk)


class TakeOrderForm(SheetForm):
    """A commission that is not in work yet."""

    title, act = "Take an order on", "Suppose it is taken"
    lacking = "No enquiry, quote or accepted commission waits to be taken on."
    commission: Any = forms.ModelChoiceField(None, label="Commission", empty_label=None)

    def put_together(self) -> None:
        """Enquiries, quoted and accepted work."""
        rows = self.own(Commission).filter(stage__in=AHEAD)
        self.fields["commission"].queryset = rows  # type: ignore[attr-defined]

    @property
    def change(self) -> Change:
        """What is supposed."""
        return TakeOrder(commission=self.cleaned_data["commission"].pk)


class LeaveOutForm(SheetForm):
    """A commission that is in work."""

    title, act = "Leave an order out", "Suppose it is left out"
    lacking = "Nothing is in work."
    commission: Any = forms.ModelChoiceField(None, label="Order", empty_label=None)

    def put_together(self) -> None:
        """Work that is released and not delivered."""
        rows = self.own(Commission).filter(stage=Stage.IN_WORK)
        self.fields["commission"].queryset = rows  # type: ignore[attr-defined]

    @property
    def change(self) -> Change:
        """What is supposed."""
        return LeaveOut(commission=self.cleaned_data["commission"].pk)


class AwayForm(SheetForm):
    """A hand away, a station that stands still."""

    title, act = "Do without for a time", "Suppose it so"
    who = forms.ChoiceField(label="A hand or a station")
    starts_at = MomentField(label="From", error_messages={"required": "Say from when."})
    ends_at = MomentField(label="Until", error_messages={"required": "Say until when."})

    def put_together(self) -> None:
        """Everything that can be missing."""
        hands = [(f"hand-{row.pk}", str(row)) for row in self.own(Hand).filter(is_in_use=True)]
        stations = self.own(Station).filter(is_in_use=True)
        named = [(f"station-{row.pk}", str(row)) for row in stations]
        self.fields["who"].choices = [("Hands", hands), ("Stations", named)]  # type: ignore[attr-defined]

    @property
    def change(self) -> Change:
        """What is supposed."""
        said = self.cleaned_data
        kind, _, pk = said["who"].partition("-")
        return Away(
            starts_at=said["starts_at"],
            ends_at=said["ends_at"],
            hand=int(pk) if kind == "hand" else None,
            station=int(pk) if kind == "station" else None,
        )


FORMS: dict[str, type[SheetForm]] = {
    "order": TakeOrderForm,
    "leave": LeaveOutForm,
    "hire": HireForm,
    "overtime": OvertimeForm,
    "station": SecondStationForm,
    "away": AwayForm,
}
