"""A station: a bench or a machine."""

from __future__ import annotations

from django.core.validators import MinValueValidator
from django.db import models

from orders.models.owned import Owned

from .calendar import WorkingCalendar


class Station(Owned):
    """A place where one kind of operation is done."""

    name = models.CharField(max_length=80)
    kind = models.CharField(max_length=20)
    calendar = models.ForeignKey(WorkingCalendar, on_delete=models.PROTECT, related_name="stations")
    places = models.PositiveSmallIntegerField(
        default=1,
        validators=[MinValueValidator(1)],
        help_text="Operations that may go on there at once.",
    )
    area = models.CharField(
        max_length=40, blank=True, help_text="The part of the workshop where it stands."
    )
    may_be_left = models.BooleanField(
        "may be left running",
        default=False,
        help_text="Its hand may do light work in the same area while it runs.",
    )
    is_in_use = models.BooleanField("in use", default=True)
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["position", "pk"]
        default_permissions = ()
        permissions = [("edit_stations", "Change stations, hands and calendars")]
        constraints = [
            models.UniqueConstraint(
                fields=["workshop", "name"],
                name="station_name_once",
                violation_error_message="There is already a station of this name.",
            )
        ]

    def __str__(self) -> str:
        return self.name
