"""Filling a length: which of the sizes at hand use up most of it."""

import math
from collections.abc import Sequence

CELLS = 60_000


def best_fill(capacity: int, sizes: Sequence[int], counts: Sequence[int]) -> list[int]:
    """How many of each size to take for the greatest total that fits the capacity.

    Exact where the capacity is at most 60 000 steps of the sizes' common measure; beyond that
    sizes are rounded up to a coarser step, and taking the longest first is tried as well.
    """
    order = sorted(range(len(sizes)), key=lambda place: -sizes[place])
    greedy = _longest_first(capacity, sizes, counts, order)
    if all(taken == count for taken, count in zip(greedy, counts, strict=True)):
        return greedy
    exact = _subset(capacity, sizes, counts, order)
    return max(greedy, exact, key=lambda taken: _total(taken, sizes))


def _total(taken: Sequence[int], sizes: Sequence[int]) -> int:
    return sum(count * size for count, size in zip(taken, sizes, strict=True))


def _longest_first(
    capacity: int, sizes: Sequence[int], counts: Sequence[int], order: Sequence[int]
) -> list[int]:
    taken = [0] * len(sizes)
    for place in order:
        taken[place] = min(counts[place], capacity // sizes[place])
        capacity -= taken[place] * sizes[place]
    return taken


def _subset(
    capacity: int, sizes: Sequence[int], counts: Sequence[int], order: Sequence[int]
) -> list[int]:
    """Reachable totals as the bits of one integer, size by size, then traced back.

    The trace leaves out what was added last, so that short pieces are kept for later.
    """
    usable = [place for place in order if counts[place] and sizes[place] <= capacity]
    taken = [0] * len(sizes)
    if not usable:
        return taken
    step = max(math.gcd(*(sizes[place] for place in usable)), -(-capacity // CELLS))
    cells = capacity // step
    mask = (1 << (cells + 1)) - 1
    chunks: list[tuple[int, int, int]] = []
    reached = [1]
    for place, count, weight in _chunks(cells, step, sizes, counts, usable):
        chunks.append((place, count, weight))
        reached.append((reached[-1] | reached[-1] << weight) & mask)
        if reached[-1] >> cells:
            break
    total = reached[-1].bit_length() - 1
    for (place, count, weight), before in zip(
        reversed(chunks), reversed(reached[:-1]), strict=True
    ):
        if not before >> total & 1:
            taken[place] += count
            total -= weight
    return taken


def _chunks(
    cells: int, step: int, sizes: Sequence[int], counts: Sequence[int], usable: Sequence[int]
) -> list[tuple[int, int, int]]:
    """Each count as powers of two and a rest: place, pieces, and length in steps."""
    chunks = []
    for place in usable:
        each = -(-sizes[place] // step)
        left = min(counts[place], cells // each)
        lot = 1
        while left > 0:
            count = min(lot, left)
            chunks.append((place, count, each * count))
            left -= count
            lot *= 2
    return chunks
