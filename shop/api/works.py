"""Stations, hands, calendars and closures: what the shop can work with."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request

from orders.api.access import workshop_of
from orders.api.fields import ClockTime, Instant, OwnRow
from orders.api.views import Kept
from orders.core.times import Skill, StationKind
from shop.models import Closure, Hand, Membership, Station, WorkingCalendar
from shop.services import calendars, stations

READ, CHANGE = "shop.see_schedule", "shop.edit_stations"
PERMISSION = {"GET": READ, "*": CHANGE}
NO_REMOVAL = ["get", "post", "patch", "head", "options"]
ALL = ["get", "post", "patch", "delete", "head", "options"]


class StationSerializer(serializers.Serializer[Station]):
    """A bench or a machine."""

    id = serializers.IntegerField(read_only=True)
    version = serializers.IntegerField(read_only=True)
    name = serializers.CharField(max_length=80)
    kind = serializers.ChoiceField(choices=[kind.value for kind in StationKind])
    calendar = OwnRow(WorkingCalendar)
    places = serializers.IntegerField(min_value=1, max_value=100, required=False)
    is_in_use = serializers.BooleanField(required=False)
    position = serializers.IntegerField(min_value=0, max_value=30_000, required=False)
    area = serializers.CharField(max_length=40, allow_blank=True, required=False)
    may_be_left = serializers.BooleanField(
        required=False,
        help_text="Its hand may do light work in the same area while it runs.",
    )


class Stations(Kept):
    """Stations; one that is out of use is planned no more."""

    model = Station
    serializer_class = StationSerializer
    permission = PERMISSION
    http_method_names = NO_REMOVAL
    filterset_fields = ("kind", "is_in_use", "calendar")
    address = "api-station-detail"

    def add(self, request: Request, fields: dict[str, Any]) -> Station:
        """Add a station."""
        in_use = fields.pop("is_in_use", True)
        station = stations.add_station(workshop_of(request), **fields)
        return station if in_use else stations.change_station(station, is_in_use=False)

    def change(self, row: Station, version: int, fields: dict[str, Any]) -> Station:
        """Change it."""
        return stations.change_station(row, version=version, **fields)


class SkillsField(serializers.DictField):
    """Levels by skill: 1 learning, 2 able, 3 master."""

    child = serializers.IntegerField(min_value=1, max_value=3)

    def to_representation(self, value: Any) -> dict[str, int]:
        """The rows of a hand's skills as a mapping."""
        return {one.skill: one.level for one in value.all()}

    def to_internal_value(self, data: Any) -> dict[str, int]:
        """A mapping of skills that there are."""
        levels: dict[str, int] = super().to_internal_value(data)
        unknown = sorted(set(levels) - set(Skill))
        if unknown:
            raise serializers.ValidationError(
                {name: f"Choose from {', '.join(Skill)}." for name in unknown}
            )
        return levels


class HandSerializer(serializers.Serializer[Hand]):
    """Somebody whose time is planned and clocked."""

    id = serializers.IntegerField(read_only=True)
    version = serializers.IntegerField(read_only=True)
    name = serializers.CharField(max_length=80)
    calendar = OwnRow(WorkingCalendar)
    membership = OwnRow(Membership, required=False, allow_null=True)
    skills = SkillsField()
    is_in_use = serializers.BooleanField(required=False)


class Hands(Kept):
    """Hands; one who has left is planned no more."""

    model = Hand
    serializer_class = HandSerializer
    permission = PERMISSION
    http_method_names = NO_REMOVAL
    filterset_fields = ("is_in_use", "calendar")
    address = "api-hand-detail"

    def get_queryset(self) -> Any:
        """With their skills."""
        return super().get_queryset().prefetch_related("skills")

    def add(self, request: Request, fields: dict[str, Any]) -> Hand:
        """Add a hand."""
        in_use = fields.pop("is_in_use", True)
        hand = stations.add_hand(workshop_of(request), **fields)
        return hand if in_use else stations.change_hand(hand, is_in_use=False)

    def change(self, row: Hand, version: int, fields: dict[str, Any]) -> Hand:
        """Change one."""
        return stations.change_hand(row, version=version, **fields)


class HoursSerializer(serializers.Serializer[Any]):
    """Open hours on one weekday; 0 is Monday."""

    weekday = serializers.IntegerField(min_value=0, max_value=6)
    starts = ClockTime()
    ends = ClockTime()
    is_overtime = serializers.BooleanField(default=False)


class CalendarSerializer(serializers.Serializer[WorkingCalendar]):
    """A week of opening hours, changed as a whole."""

    id = serializers.IntegerField(read_only=True)
    version = serializers.IntegerField(read_only=True)
    name = serializers.CharField(max_length=80)
    hours = HoursSerializer(many=True, source="openings")

    def validate_hours(self, hours: list[dict[str, Any]]) -> list[calendars.Hours]:
        """As the service takes them."""
        if len(hours) > MOST_HOURS:
            raise serializers.ValidationError("A week has at most 70 stretches of open hours.")
        return [calendars.Hours(**one) for one in hours]


MOST_HOURS = 70


class Calendars(Kept):
    """Working weeks."""

    model = WorkingCalendar
    serializer_class = CalendarSerializer
    permission = PERMISSION
    http_method_names = ALL
    filterset_fields = ("name",)
    address = "api-calendar-detail"

    def get_queryset(self) -> Any:
        """With their hours."""
        return super().get_queryset().prefetch_related("openings")

    def add(self, request: Request, fields: dict[str, Any]) -> WorkingCalendar:
        """Add a week."""
        return calendars.add_calendar(
            workshop_of(request), name=fields["name"], hours=fields["openings"]
        )

    def change(self, row: WorkingCalendar, version: int, fields: dict[str, Any]) -> WorkingCalendar:
        """Change its name or the whole week."""
        return calendars.change_calendar(
            row, version=version, name=fields.get("name"), hours=fields.get("openings")
        )

    def remove(self, row: WorkingCalendar, version: int) -> None:
        """Take it away, if nobody follows it."""
        row.require_version(version)
        calendars.remove_calendar(row)


class ClosureSerializer(serializers.Serializer[Closure]):
    """A holiday, a leave or a stopped station; without a target it closes the shop."""

    id = serializers.IntegerField(read_only=True)
    version = serializers.IntegerField(read_only=True)
    station = OwnRow(Station, required=False, allow_null=True)
    hand = OwnRow(Hand, required=False, allow_null=True)
    starts_at = Instant()
    ends_at = Instant()
    reason = serializers.CharField(max_length=120)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """A change moves a closure; it does not close something else."""
        if self.instance is None:
            return attrs
        for name in ("station", "hand"):
            if name in attrs and attrs.pop(name) != getattr(self.instance, name):
                raise serializers.ValidationError({name: "Close it by a closure of its own."})
        return attrs


class Closures(Kept):
    """Closures."""

    model = Closure
    serializer_class = ClosureSerializer
    permission = PERMISSION
    http_method_names = ALL
    filterset_fields = {
        "station": ["exact"],
        "hand": ["exact"],
        "starts_at": ["gte", "lte"],
        "ends_at": ["gte", "lte"],
    }
    ordering_fields = ("starts_at", "ends_at")
    address = "api-closure-detail"

    def add(self, request: Request, fields: dict[str, Any]) -> Closure:
        """Close something."""
        return calendars.close(workshop_of(request), **fields)

    def change(self, row: Closure, version: int, fields: dict[str, Any]) -> Closure:
        """Move it, or end it sooner."""
        known = {name: getattr(row, name) for name in ("starts_at", "ends_at", "reason")}
        return calendars.change_closure(row, version=version, **{**known, **fields})

    def remove(self, row: Closure, version: int) -> None:
        """Open again."""
        row.require_version(version)
        calendars.reopen(row)
