"""Lanes of a search: they go side by side, each with numbers of its own."""

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

LANES = 2

Lane = TypeVar("Lane")


def first_random(seed: int, lane: int) -> int:
    """What the random numbers of a lane begin with."""
    return 1 + (seed * LANES + lane + 1) * 7919 % 2147483646


def side_by_side(lanes: Sequence[Lane], go: Callable[[Lane], None], is_compiled: bool) -> None:
    """Lets every lane go on, in a thread each where the kernel is compiled."""
    if not is_compiled:
        for lane in lanes:
            go(lane)
        return
    with ThreadPoolExecutor(len(lanes)) as pool:
        for answer in [pool.submit(go, lane) for lane in lanes]:
            answer.result()
