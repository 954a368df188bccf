"""What every paper of a workshop has in common."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, cast

from orders.core.lengths import LengthUnit
from shop.models import Workshop


@dataclass(frozen=True, slots=True, kw_only=True)
class Shop:
    """The workshop as papers name it, the unit of its lengths, and whose clock it goes by."""

    name: str
    unit: Literal["mm", "inch"] = "mm"
    time_zone: str = "UTC"

    @property
    def length_unit(self) -> LengthUnit:
        """The unit as lengths are reckoned in it."""
        return LengthUnit.INCH if self.unit == "inch" else LengthUnit.MM


def shop_of(workshop: Workshop) -> Shop:
    """The workshop on paper."""
    unit = cast(Literal["mm", "inch"], workshop.unit)  # its choices
    return Shop(name=workshop.name, unit=unit, time_zone=workshop.time_zone)
