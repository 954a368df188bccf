"""The checker finds nothing in good plans, and something in every plan that is spoilt."""

import pytest

from shop.core.plan.check import check
from shop.core.plan.planner import plan
from shop.core.plan.schedule import Budget
from tests.shop.core.plan.mutants import mutants
from tests.shop.core.plan.shops import a_random_shop


@pytest.mark.parametrize("seed", range(40))
def test_a_plan_holds_until_it_is_spoilt_in_one_place(seed: int) -> None:
    problem = a_random_shop(5000 + seed, 2 + seed % 10)
    schedule = plan(problem, budget=Budget(evaluations=15))
    assert check(problem, schedule) == ()
    spoilt = dict(mutants(problem, schedule, seed))
    assert len(spoilt) >= 6
    assert [name for name, worse in spoilt.items() if not check(problem, worse)] == []
