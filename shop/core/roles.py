"""What each role in a workshop may do; permissions are named once, in the models' Meta."""

from collections.abc import Mapping
from enum import StrEnum


class Role(StrEnum):
    """A person's place in a workshop."""

    OWNER = "owner"
    ESTIMATOR = "estimator"
    FOREMAN = "foreman"
    HAND = "hand"


HAND = frozenset({"shop.clock", "shop.see_own_day", "orders.print_papers"})

ESTIMATOR = frozenset(
    {
        "orders.see_clients",
        "orders.edit_clients",
        "orders.see_commissions",
        "orders.edit_commissions",
        "orders.see_joint_book",
        "orders.print_papers",
        "costing.see_estimates",
        "costing.see_quotes",
        "costing.issue_quotes",
        "costing.see_invoices",
        "costing.issue_invoices",
        "costing.see_rack",
        "costing.edit_rack",
        "costing.see_rates",
        "costing.see_labour",
        "costing.see_job_costs",
        "shop.see_schedule",
    }
)

FOREMAN = frozenset(
    {
        "orders.see_clients",
        "orders.see_commissions",
        "orders.release_commissions",
        "orders.see_joint_book",
        "orders.print_papers",
        "costing.see_labour",
        "costing.judge_labour",
        "costing.see_rack",
        "shop.see_schedule",
        "shop.make_schedule",
        "shop.see_clockings",
        "shop.correct_clockings",
        "shop.clock",
        "shop.see_own_day",
        "shop.edit_stations",
    }
)

OWNER = (
    ESTIMATOR
    | FOREMAN
    | {
        "orders.edit_standards",
        "costing.edit_rates",
        "costing.see_hand_effects",
        "shop.edit_people",
        "shop.edit_workshop",
    }
)

MAY: Mapping[Role, frozenset[str]] = {
    Role.OWNER: OWNER,
    Role.ESTIMATOR: ESTIMATOR,
    Role.FOREMAN: FOREMAN,
    Role.HAND: HAND,
}
