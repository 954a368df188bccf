"""Minutes used against the standard, as a dimension line."""

from __future__ import annotations

from dataclasses import dataclass

LEFT, RIGHT = 2.0, 458.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauge:
    """Positions on a line of 460 units; what goes over the standard is hatched."""

    used_min: float
    standard_min: float
    is_running: bool

    @property
    def longest(self) -> float:
        """The minutes that the whole line stands for."""
        return max(self.used_min, self.standard_min, 1.0)

    def at(self, minutes: float) -> float:
        """Where so many minutes lie."""
        return round(LEFT + (RIGHT - LEFT) * min(minutes / self.longest, 1.0), 1)

    @property
    def used(self) -> float:
        """The end of what is used."""
        return self.at(self.used_min)

    @property
    def standard(self) -> float:
        """The end of the standard time."""
        return self.at(self.standard_min)

    @property
    def past(self) -> float:
        """The end of what was used within the standard."""
        return min(self.used, self.standard)

    @property
    def over_min(self) -> float:
        """Minutes over the standard."""
        return max(0.0, self.used_min - self.standard_min)
