"""The forms of the workshop: stations, hands, weeks, closures, people, settings."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import time
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from orders.core.countries import countries
from orders.core.errors import RuleBroken
from orders.core.language import Language
from orders.core.times import Skill, StationKind
from orders.web.forms import SheetForm
from shop.core.plan.prices import Measure
from shop.core.roles import Role
from shop.models import (
    WEEKDAYS,
    Hand,
    HandSkill,
    Logo,
    Membership,
    Station,
    WorkingCalendar,
    Workshop,
)
from shop.models.workshop import MOST_HOURS_LATE
from shop.services.calendars import Hours
from shop.services.measures import name_of
from shop.services.stations import areas_of
from shop.services.workshops import handwork

from .time_book import MomentField

ORDER = ("first_measure", "second_measure", "third_measure", "fourth_measure")
PRICES = ("late_order_price", "overtime_price", "setup_price", "in_progress_price", "idle_price")
LEVELS = [("", "no"), *((str(level), word) for level, word in HandSkill.level.field.choices or [])]
STRETCH = re.compile(
    r"\s*(\d{1,2})(?:[:.](\d{2}))?\s*(?:-|–|to)\s*(\d{1,2})(?:[:.](\d{2}))?\s*", re.IGNORECASE
)


def words(value: str) -> str:
    """A code as words: glue-up stays, finish-room becomes finish room."""
    return value if value == StationKind.GLUE_UP else value.replace("-", " ")


class HourInput(forms.TimeInput):
    """An hour of the clock."""

    input_type = "time"

    def __init__(self) -> None:
        super().__init__({"step": 60}, "%H:%M")


class WeekdaysField(forms.TypedMultipleChoiceField):
    """Weekdays to tick, none for any."""

    def __init__(self, **more: Any) -> None:
        super().__init__(
            choices=WEEKDAYS,
            coerce=int,
            required=False,
            widget=forms.CheckboxSelectMultiple,
            empty_value=[],
            **more,
        )


class StationForm(SheetForm):
    """A bench or a machine."""

    name = forms.CharField(max_length=80)
    kind = forms.ChoiceField(
        choices=[(k.value, words(k.value)) for k in StationKind if k != StationKind.OUTWORK]
    )
    calendar: Any = forms.ModelChoiceField(None, label="Hours", empty_label=None)
    places = forms.IntegerField(
        min_value=1, max_value=99, initial=1, help_text="Operations that may go on there at once."
    )
    position = forms.IntegerField(
        label="Place on the wall chart", min_value=0, max_value=9999, initial=0
    )
    area = forms.CharField(
        max_length=40,
        required=False,
        help_text="The part of the workshop where it stands, as machine room.",
        widget=forms.TextInput({"list": "areas", "autocomplete": "off"}),
    )
    may_be_left = forms.BooleanField(
        label="May be left running while its hand does light work in the same area",
        required=False,
        help_text="Never leave a machine that needs watching; follow the maker's instructions and"
        " local rules.",
    )
    is_in_use = forms.BooleanField(label="In use", required=False, initial=True)

    def put_together(self) -> None:
        """Offer the workshop's own weeks and the areas in use; a new station is in use."""
        offer(self, "calendar", self.own(WorkingCalendar))
        self.areas = areas_of(self.own(Station))
        if self.row is None:
            del self.fields["is_in_use"]


class HandForm(SheetForm):
    """A person who works, with what they can do."""

    name = forms.CharField(max_length=80)
    calendar: Any = forms.ModelChoiceField(None, label="Hours", empty_label=None)
    membership: Any = forms.ModelChoiceField(
        None,
        label="Signs in as",
        required=False,
        empty_label="does not sign in",
        help_text="Then they clock for themselves at the bench.",
    )
    is_in_use = forms.BooleanField(label="Works here", required=False, initial=True)

    def put_together(self) -> None:
        """One choice for each skill; only people who are not another hand."""
        offer(self, "calendar", self.own(WorkingCalendar))
        members = self.own(Membership).filter(is_active=True)
        taken = self.own(Hand).filter(membership__isnull=False)
        if self.row is not None:
            taken = taken.exclude(pk=self.row.pk)
        else:
            del self.fields["is_in_use"]
        free = members.exclude(pk__in=taken.values("membership")).select_related("user")
        offer(self, "membership", free)
        known = {s.skill: s.level for s in self.row.skills.all()} if self.row else {}
        for skill in Skill:
            self.fields[skill.value] = forms.ChoiceField(
                label=skill.value.capitalize(),
                choices=LEVELS,
                required=False,
                initial=str(known.get(skill.value, "")),
            )

    def skill_fields(self) -> list[Any]:
        """The fields of the skills, for the page."""
        return [self[skill.value] for skill in Skill]

    def clean(self) -> dict[str, Any]:
        """A hand can do something, else nothing could ever be planned for them."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        cleaned["skills"] = {
            skill.value: int(cleaned[skill.value]) for skill in Skill if cleaned.get(skill.value)
        }
        if not cleaned["skills"]:
            first = next(iter(Skill)).value
            self.add_error(first, "Give at least one skill; nothing can be planned without.")
        return cleaned

    def values(self) -> dict[str, Any]:
        """Skills together, everything else by name."""
        loose = {skill.value for skill in Skill}
        return {name: value for name, value in super().values().items() if name not in loose}


class WeekForm(SheetForm):
    """A week of opening hours, typed as it would be written on the door."""

    name = forms.CharField(max_length=80)

    def put_together(self) -> None:
        """A line for each weekday."""
        openings = self.row.openings.all() if self.row is not None else ()
        for number, day, name, is_overtime in self._lines():
            spans = [
                f"{opening.starts:%H:%M} to {opening.ends:%H:%M}"
                for opening in openings
                if (opening.weekday, opening.is_overtime) == (number, is_overtime)
            ]
            hint = "none" if is_overtime else "closed"
            self.fields[name] = forms.CharField(
                label=day,
                required=False,
                max_length=120,
                initial=", ".join(spans),
                widget=forms.TextInput({"autocomplete": "off", "placeholder": hint}),
            )

    @staticmethod
    def _lines() -> list[tuple[int, str, str, bool]]:
        """Weekday, its name, the field and whether it is for overtime, of each line."""
        return [
            (number, day, f"{day.lower()}_overtime" if is_overtime else day.lower(), is_overtime)
            for is_overtime in (False, True)
            for number, day in WEEKDAYS
        ]

    def day_fields(self) -> list[Any]:
        """The lines of the week, for the page."""
        return [self[name] for _, _, name, is_overtime in self._lines() if not is_overtime]

    def overtime_fields(self) -> list[Any]:
        """The lines of the overtime that may be offered, for the page."""
        return [self[name] for _, _, name, is_overtime in self._lines() if is_overtime]

    def clean(self) -> dict[str, Any]:
        """Read each line."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        hours: list[Hours] = []
        for number, _, name, is_overtime in self._lines():
            try:
                found = stretches_in(cleaned.get(name, ""), number)
            except ValidationError as error:
                self.add_error(name, error)
            else:
                hours += [replace(one, is_overtime=is_overtime) for one in found]
        cleaned["hours"] = hours
        return cleaned

    def values(self) -> dict[str, Any]:
        """What the service takes."""
        return {"name": self.cleaned_data["name"], "hours": self.cleaned_data["hours"]}

    def renamed(self, error: RuleBroken) -> RuleBroken:
        """The fault of one stretch stands beside its day."""
        words = error.field.split("/")
        if words[0] == "hours" and len(words) > 1:
            line: Hours = self.cleaned_data["hours"][int(words[1])]
            name = dict(WEEKDAYS)[line.weekday].lower()
            return RuleBroken(f"{name}_overtime" if line.is_overtime else name, error.message)
        return error


def stretches_in(text: str, weekday: int) -> list[Hours]:
    """The stretches of one line, as “8:00 to 12:00, 13:00 to 17:00”.

    Raises ValidationError that says how to write it.
    """
    found = []
    for piece in filter(None, (piece.strip() for piece in text.split(","))):
        match = STRETCH.fullmatch(piece)
        if match is None:
            raise ValidationError(f"Write “{piece}” as 8:00 to 12:00, with a comma between two.")
        first, first_min, last, last_min = (int(figure or 0) for figure in match.groups())
        try:
            starts, ends = time(first, first_min), time(last, last_min)
        except ValueError:
            raise ValidationError(
                f"“{piece}” has a time that no clock shows; the day goes from 0:00 to 23:59."
            ) from None
        found.append(Hours(weekday=weekday, starts=starts, ends=ends))
    return found


class ClosureForm(SheetForm):
    """A holiday, a leave, a stopped machine."""

    who = forms.ChoiceField(label="What is closed", required=False)
    starts_at = MomentField(label="From", error_messages={"required": "Say from when."})
    ends_at = MomentField(label="Until", error_messages={"required": "Say until when."})
    reason = forms.CharField(max_length=120, help_text="It stands on the wall chart.")

    def put_together(self) -> None:
        """The whole shop, a station or a hand; who is closed does not change later."""
        if self.row is not None:
            del self.fields["who"]
            return
        stations = self.own(Station).filter(is_in_use=True)
        hands = self.own(Hand).filter(is_in_use=True)
        self.targets: dict[str, dict[str, Any]] = {"": {}}
        self.targets |= {f"station-{row.pk}": {"station": row} for row in stations}
        self.targets |= {f"hand-{row.pk}": {"hand": row} for row in hands}
        named = {
            label: [
                (key, str(row))
                for key, one in self.targets.items()
                for row in one.values()
                if key.startswith(kind)
            ]
            for label, kind in (("A station", "station"), ("A hand", "hand"))
        }
        self.fields["who"].choices = [("", "the whole shop"), *named.items()]  # type: ignore[attr-defined]

    def values(self) -> dict[str, Any]:
        """What the service takes."""
        values = super().values()
        who = values.pop("who", None)
        return values | (self.targets[who] if who is not None else {})


class InviteForm(SheetForm):
    """A person who is to belong to the workshop."""

    email = forms.EmailField(label="E-mail address", max_length=254)
    name = forms.CharField(max_length=120)
    role = forms.ChoiceField(choices=[(role.value, role.value) for role in Role])


class RoleForm(SheetForm):
    """What a person is in the workshop."""

    role = forms.ChoiceField(choices=[(role.value, role.value) for role in Role])


class WorkshopForm(SheetForm):
    """The workshop's own settings."""

    name = forms.CharField(max_length=120)
    unit = forms.ChoiceField(label="Lengths in", choices=Workshop.Unit.choices)
    currency = forms.CharField(
        min_length=3, max_length=3, help_text="Three letters: EUR, GBP, USD."
    )
    time_zone = forms.CharField(max_length=64, help_text="As Europe/Dublin.")
    quote_valid_days = forms.IntegerField(
        label="Quotes are valid for", min_value=1, max_value=365, help_text="Days."
    )
    tax_number = forms.CharField(max_length=30, required=False)
    address = forms.CharField(required=False, widget=forms.Textarea({"rows": 3}))
    email = forms.EmailField(label="E-mail address", required=False)
    phone = forms.CharField(max_length=40, required=False)
    quote_terms = forms.CharField(
        label="Terms",
        required=False,
        widget=forms.Textarea({"rows": 5}),
        help_text="Printed at the end of every quotation.",
    )
    plans_itself = forms.BooleanField(
        label="Adopt each new plan at once",
        required=False,
        help_text="Otherwise a new plan is a proposal until the foreman adopts it.",
    )
    batch_pieces = forms.IntegerField(
        label="Pieces handed on at a time",
        min_value=0,
        max_value=9999,
        help_text="An operation may begin when so many pieces of the one before are done; "
        "0 when it waits for all of them.",
    )
    outwork_days = forms.IntegerField(
        label="Days that outwork is away",
        min_value=0,
        max_value=365,
        help_text="From the day it goes out until the day it is back; 0 for the same day.",
    )
    outwork_leaves_on = WeekdaysField(
        label="Outwork goes out on", help_text="None ticked: any day on which the workshop is open."
    )
    outwork_leaves_at = forms.TimeField(
        label="Goes out at",
        required=False,
        widget=HourInput,
        help_text="Empty: any open hour of the day.",
    )
    outwork_returns_on = WeekdaysField(
        label="Outwork comes back on",
        help_text="None ticked: any day on which the workshop is open.",
    )
    outwork_returns_at = forms.TimeField(
        label="Comes back at",
        required=False,
        widget=HourInput,
        help_text="Empty: as the workshop opens.",
    )

    allows_minding = forms.BooleanField(
        label="A hand may mind a running machine while it does light work in the same area",
        required=False,
        help_text="Each station says whether it may be left. Never leave a machine that needs"
        " watching; follow the makers' instructions and local rules.",
    )
    light_operations = forms.MultipleChoiceField(
        label="Light work", required=False, widget=forms.CheckboxSelectMultiple
    )

    plans_by = forms.ChoiceField(
        label="What counts is", choices=Workshop.PlansBy.choices, widget=forms.RadioSelect
    )

    def put_together(self) -> None:
        """What may be light work, the measures in their order, and a price for each."""
        light: Any = self.fields["light_operations"]
        light.choices = [*handwork().items()]
        kept = [*(self.row.measure_order if self.row is not None else ()), *[""] * len(ORDER)]
        for name, measure in zip(ORDER, kept, strict=False):
            more = [] if name == ORDER[0] else [("", "nothing more")]
            self.fields[name] = forms.ChoiceField(
                label=f"{name.split('_')[0].capitalize()} comes",
                choices=[*more, *((each, name_of(each)) for each in Measure)],
                required=not more,
                initial=measure,
            )
        for name in PRICES:
            field: Any = Workshop._meta.get_field(name)
            label = str(field.verbose_name)
            self.fields[name] = forms.FloatField(
                label=label, min_value=0, max_value=MOST_HOURS_LATE, initial=field.default
            )

    def clean(self) -> dict[str, Any]:
        """Each measure at one place only."""
        cleaned = super().clean() or {}
        named: set[str] = set()
        for name in ORDER:
            measure = cleaned.get(name)
            if measure in named:
                self.add_error(name, f"“{name_of(Measure(measure))}” comes before; name it once.")
            named |= {measure} if measure else set()
        return cleaned

    def values(self) -> dict[str, Any]:
        """The order together, everything else by name."""
        found = super().values()
        order = [found.pop(name) for name in ORDER]
        return {**found, "measure_order": [measure for measure in order if measure]}

    def ordered_measures(self) -> list[Any]:
        """The places of the measures, for the page."""
        return [self[name] for name in ORDER]

    def price_fields(self) -> list[Any]:
        """The prices, for the page."""
        return [self[name] for name in PRICES]

    def clean_currency(self) -> str:
        """Letters in any case."""
        return str(self.cleaned_data["currency"]).upper()


class LetterheadForm(SheetForm):
    """What stands at the head and foot of papers that clients get."""

    new_logo = forms.FileField(
        label="Logo",
        required=False,
        help_text="PNG or JPEG, at most 2 MB; it stands 15 mm high.",
        widget=forms.FileInput({"accept": "image/png,image/jpeg"}),
    )
    takes_logo_away = forms.BooleanField(label="Take the logo away", required=False)
    accent = forms.CharField(
        label="Colour",
        widget=forms.TextInput({"type": "color"}),
        help_text="Of the name and the line under it; dark enough for white paper.",
    )
    language = forms.ChoiceField(
        choices=[(one.value, one.label) for one in Language],
        help_text="Of papers for clients; a client can have another.",
    )
    country = forms.ChoiceField(
        required=False,
        choices=lambda: [("", "not given"), *sorted(countries().items(), key=lambda row: row[1])],
        help_text="Needed for invoices.",
    )
    iban = forms.CharField(
        label="Bank account (IBAN)",
        required=False,
        max_length=42,
        help_text="Printed on invoices.",
    )

    def put_together(self) -> None:
        """Only a logo that is there can be taken away."""
        if self.workshop is None or not Logo.objects.of(self.workshop).exists():
            del self.fields["takes_logo_away"]


def offer(form: SheetForm, name: str, rows: Any) -> None:
    """What a field lets one choose."""
    form.fields[name].queryset = rows  # type: ignore[attr-defined]
