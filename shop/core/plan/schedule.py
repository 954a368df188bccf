"""What a plan says: who does what where and when, how good it is, and how sure that is."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from shop.core.plan.prices import Measure
from shop.core.plan.problem import Goal


@dataclass(frozen=True, slots=True, kw_only=True)
class Booking:
    """A task in its place; `pieces` are its stretches of work between pauses.

    `helpers` are the other hands of a task that takes several. `overtime` are the stretches in
    which somebody works beyond the regular hours.
    """

    task: str
    station: str | None = None
    hand: str | None = None
    helpers: tuple[str, ...] = ()
    start: datetime
    end: datetime
    pieces: tuple[tuple[datetime, datetime], ...]
    overtime: tuple[tuple[datetime, datetime], ...] = ()

    @property
    def hands(self) -> tuple[str, ...]:
        """Everybody who works on it."""
        return (self.hand, *self.helpers) if self.hand is not None else ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Objective:
    """The measures of a plan, in wall-clock minutes from `now`.

    `overtime_min` are the minutes of each who works beyond regular hours; `in_progress_min` those
    of each order from its begin to its end; `idle_min` those that tasks wait though all before them
    is done. `costs` is what each measure counts by the prices of the problem, `weighed` by its
    weights. `moved` are the tasks
    that are not where people were told, `move_cost` what that counts.
    """

    weighted_lateness_min: float
    makespan_min: float
    completion_min: float = 0.0
    setup_min: float = 0.0
    overtime_min: float = 0.0
    in_progress_min: float = 0.0
    idle_min: float = 0.0
    late_orders: tuple[str, ...] = ()
    costs: Mapping[Measure, float] = field(default_factory=dict)
    weighed: Mapping[Measure, float] = field(default_factory=dict)
    moved: tuple[str, ...] = ()
    move_cost: float = 0.0

    def main(self, goal: Goal) -> float:
        """What the goal puts first: the makespan, or what all measures and moves cost."""
        if goal is Goal.MAKESPAN:
            return self.makespan_min
        return sum(self.costs.values()) + self.move_cost

    def rank(self, goal: Goal) -> tuple[float, ...]:
        """Sorts plans, the best first: by the goal, then makespan, then mean completion."""
        return (self.main(goal), self.makespan_min, self.completion_min)


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """A whole plan.

    `method` names the rule or the solver that made it. `lower_bound` is a value of the goal that
    no plan can fall below; `proved` says that this plan reaches it, to the tick.
    """

    bookings: tuple[Booking, ...]
    objective: Objective
    method: str
    lower_bound: float | None = None
    proved: bool = False
    evaluations: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Budget:
    """How long to look for a better plan.

    Evaluations are plans tried; they alone decide the result, so that a plan can be had again.
    Seconds are an outer limit for a slow machine.
    """

    evaluations: int = 400
    seconds: float = 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """A word from the planner on its way: what it tries, how far it is, the best so far.

    What that is worth is only counted for who looks at it.
    """

    method: str
    share: float
    evaluations: int
    count: Callable[[], Objective] | None = None

    @property
    def best(self) -> Objective | None:
        """What the best plan so far is worth; None where there is none yet."""
        return None if self.count is None else self.count()
