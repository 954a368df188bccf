"""Days counted in working days from today, so that the demo is never out of date."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

SATURDAY = 5


@dataclass(frozen=True, slots=True)
class WorkingDays:
    """The calendar of the demo: Monday to Friday, as seen from one instant."""

    now: datetime
    zone: ZoneInfo

    @property
    def today(self) -> date:
        """The day it is in the workshop."""
        return self.now.astimezone(self.zone).date()

    def day(self, number: int) -> date:
        """The working day so many after today, or before it; 0 is today, or the last one."""
        day = self.today
        while day.weekday() >= SATURDAY:
            day -= timedelta(days=1)
        step = timedelta(days=1 if number > 0 else -1)
        for _ in range(abs(number)):
            day += step
            while day.weekday() >= SATURDAY:
                day += step
        return day

    def at(self, number: int, hour: int, minute: int = 0) -> datetime:
        """An instant on that day by the clock of the workshop, never later than now."""
        on = datetime.combine(self.day(number), time(hour, minute), self.zone)
        return min(on, self.now)

    def morning_after(self, at: datetime) -> datetime:
        """Ten o'clock on the next working day, never later than now."""
        day = at.astimezone(self.zone).date() + timedelta(days=1)
        while day.weekday() >= SATURDAY:
            day += timedelta(days=1)
        return min(datetime.combine(day, time(10), self.zone), self.now)
