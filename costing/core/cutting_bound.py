"""What no plan can beat: a lower bound on the cost of stock."""

from collections.abc import Sequence
from fractions import Fraction

from costing.core.cutting_job import CuttingRules
from costing.core.cutting_pattern import Blank, Shape, micrometres_up


def lower_bound(blanks: Sequence[Blank], demand: Sequence[int], rules: CuttingRules) -> Fraction:
    """A proved bound on what the demand costs, each part charged its cheapest share of stock.

    Parts and usable stock are both taken larger by a kerf each way, which makes the saw cuts part
    of them. Stock that shares no part with other stock is bounded by itself; where all of it
    costs the same, in whole pieces.
    """
    return sum(
        (_group_bound(group, demand, rules) for group in _groups(blanks, demand)), Fraction(0)
    )


def _groups(blanks: Sequence[Blank], demand: Sequence[int]) -> list[list[Blank]]:
    """Blanks that compete for the same parts, directly or through others."""
    groups: list[tuple[set[int], list[Blank]]] = []
    for blank in blanks:
        parts = {shape.part for shape in blank.shapes if demand[shape.part]}
        if not parts:
            continue
        touching = [group for group in groups if group[0] & parts]
        groups = [group for group in groups if not group[0] & parts]
        members = [member for group in touching for member in group[1]] + [blank]
        groups.append((parts.union(*(group[0] for group in touching)), members))
    return [members for _, members in groups]


def _group_bound(group: Sequence[Blank], demand: Sequence[int], rules: CuttingRules) -> Fraction:
    cheapest: dict[int, Fraction] = {}
    for blank in group:
        for shape in blank.shapes:
            if demand[shape.part]:
                share = _share(blank, shape, rules) * blank.cost
                cheapest[shape.part] = min(share, cheapest.get(shape.part, share))
    bound = sum((demand[part] * share for part, share in cheapest.items()), Fraction(0))
    costs = {blank.cost for blank in group}
    if len(costs) > 1 or not min(costs):
        return bound
    pieces = -(-bound // group[0].cost)
    if len(group) == 1 and group[0].is_bar:
        pieces = max(pieces, _bars_needed(group[0], demand, rules))
    return pieces * group[0].cost


def _share(blank: Blank, shape: Shape, rules: CuttingRules) -> Fraction:
    cross, rip = micrometres_up(rules.kerf_cross_mm), micrometres_up(rules.kerf_rip_mm)
    along = Fraction(shape.along + cross, blank.along + cross)
    return along if blank.is_bar else along * Fraction(shape.across + rip, blank.across + rip)


def _bars_needed(blank: Blank, demand: Sequence[int], rules: CuttingRules) -> int:
    """Bars of one length: long pieces cannot share, and what is left over beside them is limited.

    Source: Martello & Toth, Knapsack Problems (1990), section 8.3, bound L2.
    """
    kerf = micrometres_up(rules.kerf_cross_mm)
    capacity = blank.along + kerf
    sizes = {shape.part: shape.along + kerf for shape in blank.shapes}
    most = 0
    for limit in {size for size in sizes.values() if 2 * size <= capacity} | {0}:
        alone = beside = room = short = 0
        for part, size in sizes.items():
            if size > capacity - limit:
                alone += demand[part]
            elif 2 * size > capacity:
                beside += demand[part]
                room += demand[part] * (capacity - size)
            elif size >= limit:
                short += demand[part] * size
        most = max(most, alone + beside + max(0, -((room - short) // capacity)))
    return most
