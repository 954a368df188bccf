"""The solver's model: every dispatched plan is a solution of it, worth the same."""

from dataclasses import replace
from datetime import timedelta
from itertools import islice

import pytest
from ortools.sat.python import cp_model

from shop.core.plan.dispatch import dispatch
from shop.core.plan.floor import lay_out
from shop.core.plan.measure import rank_of
from shop.core.plan.model import Model
from shop.core.plan.rules import rules
from tests.shop.core.plan.shops import a_random_shop


@pytest.mark.parametrize("seed", range(60))
def test_a_dispatched_plan_is_a_complete_hint_and_a_solution(seed: int) -> None:
    problem = a_random_shop(seed, 1 + seed % 14)
    # The planner gives the solver no shop in which these have a price.
    prices = replace(problem.prices, overtime=0, in_progress=0, idle=0)
    problem = replace(problem, prices=prices)
    floor = lay_out(problem, problem.now + timedelta(days=120))
    for _, choose in islice(rules(floor), 0, 8, 4):
        placement = dispatch(floor, choose)
        model = Model(floor, problem.goal, placement)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.fix_variables_to_their_hinted_value = True
        assert solver.solve(model.model) == cp_model.OPTIMAL
        assert len(model.model.proto.variables) == len(model.model.proto.solution_hint.vars)
        assert solver.objective_value / model.scale == pytest.approx(
            rank_of(floor, problem.goal, placement)[0]
        )
        assert model.read(solver).end == placement.end
