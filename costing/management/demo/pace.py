"""How long the invented hands really take: around the standard, with habits and mishaps."""

import math
from collections.abc import Mapping
from random import Random

from orders.models import Operation

SEED = 1889
HABITS: Mapping[str, float] = {
    "through-dovetail": 1.25,
    "haunched-mortise-tenon": 1.12,
    "mortise-tenon": 0.94,
    "dowelled-edge": 0.82,
    "dovetail-housing": 1.05,
    "butt": 0.9,
}
"""Minutes taken over minutes allowed, by joint type: what the labour page is there to find."""
PERSONAL = (0.94, 1.0, 1.1)
MISHAP, MISHAP_FACTOR = 0.015, 2.6
MISTAKE = 0.02
INTERRUPTION = 0.07


class Pace:
    """Draws times, seeded, so that the same day tells the same story."""

    def __init__(self, seed: int = SEED) -> None:
        self.random = Random(seed)

    def minutes(self, operation: Operation, person: int) -> float:
        """Minutes that all pieces of an operation will take this person."""
        joint = operation.joint.type if operation.joint else ""
        drawn = math.exp(self.random.gauss(0, 0.7 * operation.spread))
        mishap = MISHAP_FACTOR if self.random.random() < MISHAP else 1.0
        habit = HABITS.get(joint, 1.0) * PERSONAL[person % len(PERSONAL)]
        return max(2.0, round(operation.minutes * habit * drawn * mishap))

    def is_mistaken(self) -> bool:
        """Whether the wrong operation is started, and stopped again at once."""
        return self.random.random() < MISTAKE

    def interruption(self, minutes: float) -> float | None:
        """Minutes after which somebody is called away, or nothing."""
        if minutes < 40 or self.random.random() > INTERRUPTION * minutes / 60:
            return None
        return float(self.random.randint(15, int(minutes) - 10))

    def a_while(self, least: int, most: int) -> float:
        """A few minutes between one thing and the next."""
        return float(self.random.randint(least, most))
