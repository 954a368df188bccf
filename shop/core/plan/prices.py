"""What an owner measures a plan by, and what each of it counts."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from orders.core.errors import RuleBroken

FAR_APART = 1000.0
"""By how much a measure outweighs the next one, where they count one after another."""
MOST_LEVELS = 4
"""More would leave too few figures of a real number for the last of them."""
DEAREST = 1e6
DEAREST_MOVE = 1000 * DEAREST


class Measure(StrEnum):
    """What a plan is measured by; the less of each, the better.

    Lateness counts by the weight of the order, and so does an order that is late at all. Overtime
    is that of people, or of a machine that runs alone. Work in progress are the minutes from the
    begin of an order to its end, idle pieces those that an operation could have gone on and did
    not.
    """

    LATENESS = "lateness"
    LATE_ORDERS = "late_orders"
    OVERTIME = "overtime"
    SETUP = "setup"
    IN_PROGRESS = "in_progress"
    IDLE = "idle"


@dataclass(frozen=True, slots=True, kw_only=True)
class Prices:
    """What each measure counts, in minutes that an order of weight 1 is late.

    `late_orders` is for each order that is late at all, times its weight; the others for a minute.
    """

    lateness: float = 1.0
    late_orders: float = 0.0
    overtime: float = 0.0
    setup: float = 0.0
    in_progress: float = 0.0
    idle: float = 0.0

    def of(self, measure: Measure) -> float:
        """The price of one measure."""
        return float(getattr(self, measure.value))

    @property
    def minute_late(self) -> float:
        """What a minute late counts; where lateness counts nothing, what the dearest measure does."""
        return self.lateness or max(self.of(measure) for measure in Measure)

    def cost(self, amounts: Mapping[Measure, float]) -> dict[Measure, float]:
        """What each amount costs."""
        return {measure: self.of(measure) * amount for measure, amount in amounts.items()}


def one_after_another(measures: Sequence[Measure]) -> Prices:
    """Prices so far apart that the next measure hardly counts while the one before can be bettered.

    A minute of one outweighs a thousand of the next; an order that is late, a thousand minutes of
    what follows. Measures that are not named count nothing.

    Raises RuleBroken for a measure named twice, for more than four, or for none.
    """
    if len(set(measures)) != len(measures):
        raise RuleBroken("measures", "Name each measure once; the first counts before the others.")
    if not 1 <= len(measures) <= MOST_LEVELS:
        raise RuleBroken(
            "measures",
            f"Put 1 to {MOST_LEVELS} measures one after another; give the others a price instead.",
            nearest=MOST_LEVELS,
        )
    prices = {measure.value: 0.0 for measure in Measure}
    for place, measure in enumerate(reversed(measures)):
        prices[measure.value] = FAR_APART ** (place - len(measures) + 3)
    return Prices(**prices)
