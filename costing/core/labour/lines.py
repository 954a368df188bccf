"""What joints really took: clocked minutes against standard minutes, by joint type and operation."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from statistics import fmean, stdev

from costing.core.student import t_quantile
from orders.core.errors import RuleBroken

RESIDUAL_SPREAD = 0.30
"""Spread of one clocking about its standard; starting value, common practice, no source."""

PRIOR_SPREAD = 0.35
"""Spread of true times about starting standards; starting value, common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LabourRecord:
    """One batch that was worked: its standard minutes, the minutes taken, pieces and hand.

    `clockings` says in how many stretches it was clocked.
    """

    joint_type: str
    operation: str
    standard_min: float
    taken_min: float
    count: int = 1
    method: str = "hand"
    hand: str = ""
    at: datetime | None = None
    species: str = ""
    clockings: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class LabourLine:
    """All batches of one joint type and operation.

    `ratio` is the typical (geometric mean) taken over standard, `low` and `high` its interval at
    the asked confidence; both are absent, and `note` says why, with fewer than two batches.
    `proposed_ratio` is the ratio drawn towards 1 by as much as the evidence is thin.
    """

    joint_type: str
    operation: str
    batches: int
    clockings: int
    pieces: int
    standard_min: float
    taken_min: float
    total_ratio: float
    ratio: float
    low: float | None
    high: float | None
    proposed_ratio: float
    note: str = ""


def labour_by_joint_type(
    clockings: Sequence[LabourRecord], *, confidence: float = 0.80
) -> tuple[LabourLine, ...]:
    """Estimated against taken minutes, by joint type and operation in alphabetical order.

    Raises RuleBroken for minutes that are not more than 0.
    """
    if not 0 < confidence < 1:
        raise RuleBroken("confidence", "Confidence lies between 0 and 1: 0.8 for 80 %.")
    cells: dict[tuple[str, str], list[LabourRecord]] = {}
    for place, record in enumerate(clockings):
        _check(record, f"clockings/{place}")
        cells.setdefault((record.joint_type, record.operation), []).append(record)
    return tuple(
        _line(joint_type, operation, records, confidence)
        for (joint_type, operation), records in sorted(cells.items())
    )


def shrunk_standard(
    standard_min: float,
    log_ratios: Sequence[float],
    *,
    residual_spread: float = RESIDUAL_SPREAD,
    prior_spread: float = PRIOR_SPREAD,
) -> float:
    """A standard moved towards what was clocked, by as much as there is evidence.

    `log_ratios` are ln(taken / standard). One clocking moves it 58 % of the way with the starting
    spreads, five 87 %, twenty 96 %. The mean of a normal posterior: any text on Bayesian
    statistics.
    """
    if not standard_min > 0:
        raise RuleBroken("standard_min", "A standard time is more than 0 minutes.")
    return standard_min * math.exp(
        weight_of(len(log_ratios), residual_spread, prior_spread)
        * (fmean(log_ratios) if log_ratios else 0.0)
    )


def weight_of(
    clockings: int,
    residual_spread: float = RESIDUAL_SPREAD,
    prior_spread: float = PRIOR_SPREAD,
) -> float:
    """How far this many clockings move a standard, from 0 (not) to 1 (all the way)."""
    if not (residual_spread > 0 and prior_spread > 0):
        raise RuleBroken("residual_spread", "Both spreads must be more than 0.")
    evidence = clockings / residual_spread**2
    return evidence / (evidence + 1 / prior_spread**2)


def _check(record: LabourRecord, prefix: str) -> None:
    for field in ("standard_min", "taken_min"):
        minutes: float = getattr(record, field)
        if not (math.isfinite(minutes) and minutes > 0):
            raise RuleBroken(
                f"{prefix}/{field}",
                f"{record.operation} of {record.joint_type}: minutes must be more than 0.",
            )
    if record.count < 1:
        raise RuleBroken(f"{prefix}/count", "A clocking is for at least one piece.")


def _line(
    joint_type: str, operation: str, records: Sequence[LabourRecord], confidence: float
) -> LabourLine:
    ratios = [math.log(record.taken_min / record.standard_min) for record in records]
    standard = math.fsum(record.standard_min for record in records)
    taken = math.fsum(record.taken_min for record in records)
    low, high = _interval(ratios, confidence)
    return LabourLine(
        joint_type=joint_type,
        operation=operation,
        batches=len(records),
        clockings=sum(record.clockings for record in records),
        pieces=sum(record.count for record in records),
        standard_min=standard,
        taken_min=taken,
        total_ratio=taken / standard,
        ratio=math.exp(fmean(ratios)),
        low=low,
        high=high,
        proposed_ratio=shrunk_standard(1.0, ratios),
        note="" if low is not None else "One batch is too few to say how sure this is.",
    )


def _interval(ratios: Sequence[float], confidence: float) -> tuple[float | None, float | None]:
    if len(ratios) < 2:
        return None, None
    middle = fmean(ratios)
    reach = t_quantile((1 + confidence) / 2, len(ratios) - 1) * stdev(ratios)
    reach /= math.sqrt(len(ratios))
    return math.exp(middle - reach), math.exp(middle + reach)
