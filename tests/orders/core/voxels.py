"""An independent oracle: joints of rectangular blocks, counted in cubes of 1 mm.

It knows nothing of planes, clipping or cones: it fills a grid and looks at neighbouring cubes.
"""

from collections import Counter
from itertools import combinations

import numpy as np

from orders.core.solids import Geometry, Solid

AXES = ((1, 0, 0), (0, 1, 0), (0, 0, 1))


class Voxels:
    """Every member of a joint as a boolean grid of 1 mm cubes over one common box."""

    def __init__(self, geometry: Geometry) -> None:
        corners = np.array(
            [v for m in geometry.members for s in (*m.solids, *m.blank) for v in s.vertices]
        )
        self.low = np.floor(corners.min(axis=0)) - 2
        self.shape = tuple((np.ceil(corners.max(axis=0)) + 2 - self.low).astype(int))
        self.grain = {member.key: np.array(member.grain) for member in geometry.members}
        self.filled = {member.key: self._fill(member.solids) for member in geometry.members}
        self.blanks = {member.key: self._fill(member.blank) for member in geometry.members}

    def _fill(self, solids: tuple[Solid, ...]) -> np.ndarray:
        grid = np.zeros(self.shape, dtype=int)
        for solid in solids:
            corners = np.array(solid.vertices)
            low = np.round(corners.min(axis=0) - self.low, 6)
            high = np.round(corners.max(axis=0) - self.low, 6)
            assert np.allclose(low, np.round(low)), "the oracle needs whole millimetres"
            assert np.allclose(high, np.round(high)), "the oracle needs whole millimetres"
            (x0, y0, z0), (x1, y1, z1) = low.astype(int), high.astype(int)
            grid[x0:x1, y0:y1, z0:z1] += 1
        assert grid.max() <= 1, "the solids of one member overlap"
        return grid.astype(bool)

    def volume(self, key: str) -> int:
        return int(self.filled[key].sum())

    def members_overlap(self) -> bool:
        return any(
            bool((self.filled[one] & self.filled[other]).any())
            for one, other in combinations(self.filled, 2)
        )

    def areas(self) -> Counter[str]:
        """Shared cube faces between any two members by what the grain of each is to them."""
        found: Counter[str] = Counter()
        for one, other in combinations(self.filled, 2):
            mine, theirs = self.filled[one], self.filled[other]
            for axis, direction in enumerate(AXES):
                ends = sum(abs(round(float(self.grain[key] @ direction))) for key in (one, other))
                pairs = np.count_nonzero(mine & np.roll(theirs, 1, axis)) + np.count_nonzero(
                    theirs & np.roll(mine, 1, axis)
                )
                found[("long_long", "long_end", "end_end")[ends]] += int(pairs)
        return found

    def free_axes(self) -> set[str]:
        """The axis directions in which b moves by one cube without meeting any other member."""
        still = np.zeros(self.shape, dtype=bool)
        for key, filled in self.filled.items():
            if key != "b":
                still |= filled
        return {
            f"{sign}{name}"
            for axis, name in enumerate("xyz")
            for sign, step in (("+", 1), ("-", -1))
            if not (np.roll(self.filled["b"], step, axis) & still).any()
        }
