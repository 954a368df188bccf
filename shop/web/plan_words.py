"""How good a plan is, in words."""

from __future__ import annotations

from dataclasses import dataclass

from orders.web.formats import duration

NEAR_MIN = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Worth:
    """What the plan reaches, what is proved of it, and how it was found."""

    reached: str
    proof: str
    method: str


def worth_of(
    *,
    method: str,
    late_orders: int,
    lateness_min: float,
    lower_bound_min: float | None,
    is_proved: bool,
    tried: int,
) -> Worth:
    """Say it in three sentences."""
    if late_orders == 0:
        reached = "Every order is finished by the day it is due."
    else:
        noun = "order is" if late_orders == 1 else "orders are"
        reached = f"{late_orders} {noun} late, {span(lateness_min)} in all by importance."
    return Worth(
        reached=reached,
        proof=proof(late_orders, lateness_min, lower_bound_min, is_proved),
        method=found_by(method, tried),
    )


def proof(late_orders: int, lateness_min: float, bound_min: float | None, is_proved: bool) -> str:
    """What no plan of this work can do better."""
    if is_proved:
        if late_orders == 0:
            return "No plan of this work could do better; that is proved."
        return "No plan of this work can have less; that is proved."
    if bound_min is not None and bound_min >= NEAR_MIN and late_orders:
        if span(bound_min) == span(lateness_min):
            gap = span(max(NEAR_MIN, lateness_min - bound_min))
            return f"No plan can be better by more than {gap}; that is proved."
        return f"No plan can have less than {span(bound_min)}; that is proved. The rest is open."
    return "It is the best that was found; a better one may exist."


def found_by(method: str, tried: int) -> str:
    """How the plan was found."""
    plans = f"{tried:,} plans were tried" if tried > 1 else "One plan was tried"
    return f"Found by “{method}”. {plans}." if tried else f"Found by “{method}”."


def span(minutes: float) -> str:
    """Hours up to two days, then days of twenty-four hours."""
    if minutes >= 48 * 60:
        return f"{minutes / 1440:.1f}\u00a0days"
    return duration(minutes)
