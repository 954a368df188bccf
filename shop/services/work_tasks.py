"""An operation and the time that its pieces are held after it, as tasks of the planner."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from orders.core.times import StationKind
from shop.core.plan.problem import Away, Task


def work_task(
    key: str,
    *,
    label: str,
    whole_min: float,
    setup_min: float,
    spread: float,
    station_kind: str,
    skill: str,
    after: Iterable[str],
    release: datetime | None,
    order: str,
    batch_share: float = 1.0,
    is_light: bool = False,
) -> Task:
    """The work that nobody is at yet; `setup_min` is part of the whole. Outwork takes no station."""
    setup = min(setup_min, max(0.0, whole_min - 1))
    return Task(
        key=key,
        label=label,
        minutes=max(1.0, whole_min - setup),
        setup_min=setup,
        spread=spread,
        station_kind="" if station_kind == StationKind.OUTWORK else station_kind,
        skills={skill: 1},
        after=tuple(after),
        batch_share=batch_share,
        is_light=is_light,
        release=release,
        order=order,
    )


def held_task(
    key: str, *, label: str, cure_min: float, away: Away | None, after: str, order: str = ""
) -> Task:
    """The time in which nobody works and nothing follows: outwork is `away`, or glue cures."""
    if away is not None:
        return Task(
            key=key, label=f"{label}, away", minutes=1, away=away, after=(after,), order=order
        )
    return Task(key=key, label=f"{label}, curing", minutes=cure_min, after=(after,), order=order)
