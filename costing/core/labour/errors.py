"""Clockings that are not what they say: left running overnight, begun late, booked wrongly."""

from dataclasses import dataclass

import numpy as np

from costing.core.labour.clockings import Floats


@dataclass(frozen=True, slots=True)
class Slip:
    """A way to clock wrongly: how often among all, and what it does to the logarithm of minutes."""

    share: float
    mean: float
    spread: float


SLIPS = (
    Slip(share=0.60, mean=1.2, spread=0.55),
    Slip(share=0.25, mean=-1.3, spread=0.55),
    Slip(share=0.15, mean=0.0, spread=1.2),
)
"""Left running; begun late; booked on another operation. Common practice, no source."""

TINY = 1e-300


def soundness_of(above: Floats, variance: float, error_share: float) -> Floats:
    """The chance that each clocking is sound, from how far its logarithm lies above what was due."""
    sound = (1 - error_share) * _normal(above, variance)
    wrong = np.zeros_like(above)
    for slip in SLIPS:
        wrong += error_share * slip.share * _normal(above - slip.mean, slip.spread**2)
    return np.asarray(sound / (sound + wrong + TINY))


def _normal(values: Floats, variance: float) -> Floats:
    return np.asarray(np.exp(-(values**2) / (2 * variance)) / np.sqrt(2 * np.pi * variance))
