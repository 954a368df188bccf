"""How the planner knows the rows of the shop."""

from __future__ import annotations


def station_key(pk: int) -> str:
    """How the planner knows a station."""
    return f"station-{pk}"


def hand_key(pk: int) -> str:
    """How the planner knows a hand."""
    return f"hand-{pk}"


def order_key(pk: int) -> str:
    """How the planner knows a commission."""
    return f"order-{pk}"


def task_key(pk: int) -> str:
    """How the planner knows an operation."""
    return f"operation-{pk}"


def row_of(key: str | None) -> int | None:
    """The row that a key of the planner stands for; None for one that is not a row (curing, away)."""
    kind, _, number = (key or "").partition("-")
    return int(number) if number and kind != "held" else None


def held_key(pk: int) -> str:
    """How the planner knows the time that an operation cures or is away after its end."""
    return f"held-{pk}"
