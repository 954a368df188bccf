"""A small shop given whole to a constraint solver, which can prove that a plan is the best.

One worker, so that a seed means a plan. Probing is off: with a complete hint it only costs time.
"""

from collections.abc import Callable
from dataclasses import dataclass
from threading import Thread
from typing import Any

from ortools.sat.python import cp_model

from shop.core.plan.dispatch import Placement
from shop.core.plan.floor import Floor
from shop.core.plan.model import Model
from shop.core.plan.problem import Goal

POLL_SECONDS = 0.05


@dataclass(frozen=True, slots=True)
class Answer:
    """The best placement found, a bound in ticks, the proof, and the effort it took."""

    placement: Placement | None
    bound: float
    proved: bool
    effort: float


def solve(
    floor: Floor,
    goal: Goal,
    known: Placement,
    *,
    effort: float,
    seconds: float,
    seed: int,
    tell: Callable[[float], bool],
) -> Answer:
    """Improves on a known placement, or proves it.

    `effort` is the solver's own deterministic measure, near to seconds. `tell` is called in the
    caller's thread every few hundredths of a second with the best value so far; when it answers
    True the search stops.
    """
    model = Model(floor, goal, known)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = seed % 2**31
    solver.parameters.cp_model_probing_level = 0
    solver.parameters.max_deterministic_time = max(effort, 1e-3)
    solver.parameters.max_time_in_seconds = max(seconds, 1e-3)
    watch = _Watch()
    status: list[Any] = []
    thread = Thread(target=lambda: status.append(solver.solve(model.model, watch)), daemon=True)
    thread.start()
    stopping = False
    try:
        while thread.is_alive():
            thread.join(POLL_SECONDS)
            stopping = stopping or tell(watch.best / model.scale)
            if stopping:
                solver.stop_search()
    finally:
        while thread.is_alive():
            solver.stop_search()
            thread.join(POLL_SECONDS)
    if not status:
        raise RuntimeError("the solver ended without an answer")
    found = status[0] in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    return Answer(
        placement=model.read(solver) if found else None,
        bound=solver.best_objective_bound / model.scale if found and model.is_whole else 0.0,
        proved=status[0] == cp_model.OPTIMAL and model.is_whole,
        effort=solver.response_proto.deterministic_time,
    )


class _Watch(cp_model.CpSolverSolutionCallback):
    def __init__(self) -> None:
        super().__init__()
        self.best = float("inf")

    def on_solution_callback(self) -> None:
        """Notes the value; nothing else, as this runs in the solver's thread."""
        self.best = self.objective_value
