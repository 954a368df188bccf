"""Minding a machine while doing light work nearby: what of a hand each piece of work takes.

A hand that could do both is one for what it minds, one for light work, and one for the light work
of each area; each of these takes one task at a time. A run that is minded takes the first and the
light work of every other area, light work takes the second and that of its own area, and whatever
else takes both. So two runs go together only if one is minded, the other light, and both in one
area.
"""

from collections.abc import Iterable, Sequence

from shop.core.minding import WHOLE, Attention, Share, share_at
from shop.core.plan.problem import Problem, Resource, Task


def share_of(problem: Problem, task: Task, station: Resource | None, hands: int) -> Share:
    """What a task takes of each hand on a station with so many hands."""
    if not problem.allows_minding or station is None or hands != 1:
        return WHOLE
    return share_at(station.area, may_be_left=station.may_be_left, is_light=task.is_light)


def may_go_together(
    problem: Problem,
    one: tuple[Task, Resource | None, int],
    other: tuple[Task, Resource | None, int],
) -> bool:
    """Whether one hand may do both at once; each is a task with its station and number of hands."""
    return share_of(problem, *one).goes_with(share_of(problem, *other))


class Shares:
    """The hands that may be shared, and what of them each way to staff a task uses.

    `staffed` are the ways there are: for each task its stations (-1 for none) with their hands.
    `owners` is the hand of each resource that is added behind the real ones.
    """

    def __init__(
        self, problem: Problem, staffed: Sequence[Iterable[tuple[int, tuple[int, ...]]]]
    ) -> None:
        self.problem = problem
        self.owners: list[int] = []
        self.light: dict[int, int] = {}
        self.near: dict[int, dict[str, int]] = {}
        minds: set[int] = set()
        areas: dict[int, set[str]] = {}
        for task, ways in zip(problem.tasks, staffed, strict=True):
            for station, hands in ways:
                share = self._share(task, station, hands)
                if share.attention is Attention.MINDED:
                    minds.add(hands[0])
                elif share.attention is Attention.LIGHT:
                    areas.setdefault(hands[0], set()).add(share.area)
        for hand in sorted(minds & areas.keys()):
            self.light[hand] = self._add(hand)
            self.near[hand] = {area: self._add(hand) for area in sorted(areas[hand])}

    def uses(self, task: Task, station: int, hands: tuple[int, ...]) -> tuple[int, ...]:
        """What a task takes in a way to staff it: the station, then one for each hand, then more."""
        first = () if station < 0 else (station,)
        shared = [hand for hand in hands if hand in self.light]
        share = self._share(task, station, hands)
        if not shared or share == WHOLE:
            return (*first, *hands, *(self.light[hand] for hand in shared))
        (hand,) = shared
        near = self.near[hand]
        if share.attention is Attention.LIGHT:
            return (*first, self.light[hand], near[share.area])
        return (*first, hand, *(number for area, number in near.items() if area != share.area))

    def _share(self, task: Task, station: int, hands: tuple[int, ...]) -> Share:
        at = self.problem.resources[station] if station >= 0 else None
        return share_of(self.problem, task, at, len(hands))

    def _add(self, hand: int) -> int:
        self.owners.append(hand)
        return len(self.problem.resources) + len(self.owners) - 1
