"""Learning from the clockings: a job that runs every night and on demand, and what it keeps."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import Any

from django.db import transaction
from django.utils import timezone

from costing.core.labour import (
    Change,
    Fitted,
    Foretold,
    Learned,
    hand_factors,
    learn_and_notice,
    packed,
    standards_of,
    suspects_of,
    table_of,
    unpacked,
)
from costing.models import (
    DoubtfulClocking,
    HandEffect,
    LabourChange,
    LabourFit,
    LearnedCell,
)
from costing.services import effects, honesty
from costing.services.clocked import Read, read
from orders.core.errors import NotReady
from orders.services.standards import current_edition
from shop.models import Clocking, Hand, Job, User, Workshop
from shop.services.jobs import Claim, ask, work

KIND = "learn"
COMMON = ("all_work", "hardness", "size", "trend", "batch")


def ask_to_learn(workshop: Workshop, *, by: User | None) -> Job:
    """Have the clockings learned from; while one such job is unfinished, that one is given."""
    return ask(KIND, workshop, by=by, once=KIND)


def sweep() -> int:
    """Ask for every workshop that has clockings; how many that are."""
    clocked = Clocking.objects.filter(ended_at__isnull=False)
    workshops = Workshop.objects.filter(
        pk__in=clocked.values("operation__commission__workshop").distinct()
    )
    for workshop in workshops:
        ask_to_learn(workshop, by=None)
    return len(workshops)


def fit_of(workshop: Workshop) -> LabourFit | None:
    """The newest fit, if it holds for the standard times in force."""
    fit: LabourFit | None = (
        LabourFit.objects.of(workshop).select_related("edition").defer("kept").first()
    )
    if fit is None or fit.edition != current_edition(workshop):
        return None
    return fit


def learned_of(workshop: Workshop) -> Learned | None:
    """What foretelling needs of the newest fit, if there is one that holds."""
    fit = fit_of(workshop)
    return unpacked(bytes(fit.kept)) if fit else None


@work(KIND)
def learn_workshop(claim: Claim) -> Mapping[str, Any]:
    """Learn from all that was clocked, unless nothing changed since the last time."""
    workshop = claim.job.workshop
    claim.report(0.0, "Reading what was clocked")
    found = read(workshop)
    if not found.spells:
        raise NotReady("No operation is done and clocked yet; there is nothing to learn from.")
    fit = LabourFit.objects.of(workshop).defer("kept").first()
    if fit is not None and fit.digest == found.digest:
        effects.reckon(fit, found)
        return {"clockings": fit.clockings, "is_new": False}
    fitted = learn_and_notice(
        table_of(found.clockings),
        marked=found.marked,
        refused=found.refused,
        heard=lambda share: claim.report(0.1 + 0.4 * share, "Comparing with the standard"),
    )
    foretold = honesty.foretell(
        workshop,
        found,
        heard=lambda share: claim.report(0.5 + 0.4 * share, "Foretelling past orders"),
    )
    claim.report(0.9, "Writing down what was learned")
    fit = store(claim, found, fitted, foretold)
    return {"clockings": fit.clockings, "is_new": True}


@transaction.atomic
def store(
    claim: Claim, found: Read, fitted: Fitted, foretold: Sequence[Foretold] = ()
) -> LabourFit:
    """Keep a fit in place of the one before.

    Raises Overtaken if another worker has the job.
    """
    claim.hold()
    workshop = claim.job.workshop
    LabourFit.objects.of(workshop).delete()
    last = max(spell.clocking.day for spell in found.spells)
    fit: LabourFit = LabourFit.objects.create(
        workshop=workshop,
        edition=found.edition,
        digest=found.digest,
        made_at=timezone.now(),
        last_day=date.fromordinal(int(last)),
        clockings=len(found.spells),
        left_out=len(found.left_out),
        spreads=_spreads(fitted),
        kept=packed(fitted),
    )
    LearnedCell.objects.bulk_create(_cells(fit, fitted))
    HandEffect.objects.bulk_create(_hands(fit, fitted))
    DoubtfulClocking.objects.bulk_create(_doubts(fit, found, fitted))
    _store_changes(fit, fitted, found.marked)
    honesty.store(fit, foretold)
    effects.reckon(fit, found)
    return fit


def _spreads(fitted: Fitted) -> dict[str, float]:
    """Spreads by family, powers and shifts of all work, and the share of wrong clockings."""
    spreads = {name: variance**0.5 for name, variance in fitted.variances.items()}
    powers = {f"power_{name}": float(fitted.effects[at]) for at, name in enumerate(COMMON)}
    return {**spreads, **powers, "error_share": fitted.error_share}


def _cells(fit: LabourFit, fitted: Fitted) -> Iterator[LearnedCell]:
    for one in standards_of(fitted):
        yield LearnedCell(
            fit=fit,
            joint=one.joint,
            operation=one.operation,
            method=one.method,
            clockings=one.clockings,
            effective=one.effective,
            weight=one.weight,
            each_ratio=one.each_ratio,
            each_low=one.each_low,
            each_high=one.each_high,
            setup_ratio=one.setup_ratio,
            setup_low=one.setup_low,
            setup_high=one.setup_high,
        )


def _hands(fit: LabourFit, fitted: Fitted) -> Iterator[HandEffect]:
    here = set(Hand.objects.of(fit.workshop).values_list("pk", flat=True))
    for one in hand_factors(fitted):
        if int(one.hand) in here:
            yield HandEffect(
                fit=fit,
                hand_id=int(one.hand),
                operation=one.operation,
                factor=one.factor,
                low=one.low,
                high=one.high,
            )


def _doubts(fit: LabourFit, found: Read, fitted: Fitted) -> Iterator[DoubtfulClocking]:
    by_key = {spell.clocking.key: spell for spell in found.spells}
    for one in suspects_of(fitted):
        spell = by_key[one.clocking.key]
        yield DoubtfulClocking(
            fit=fit,
            operation_id=spell.operation,
            hand_id=spell.hand,
            minutes=one.clocking.taken_min,
            expected_min=one.clocking.taken_min / one.ratio,
            chance_wrong=one.chance_wrong,
        )


def _store_changes(fit: LabourFit, fitted: Fitted, marked: Sequence[Change]) -> None:
    """Found changes are written anew; what a person marked keeps its row and gets its factor."""
    columns = fitted.layout.columns["change"]
    LabourChange.objects.of(fit.workshop).filter(state=LabourChange.State.FOUND).delete()
    for change in fitted.layout.changes:
        column = columns.get(change)
        factor = math.exp(float(fitted.effects[column])) if column is not None else None
        same = {
            "workshop": fit.workshop,
            "joint": change.joint,
            "operation": change.operation,
            "method": change.method,
            "on": date.fromordinal(int(change.day)),
        }
        if change in marked:
            LabourChange.objects.filter(**same).update(factor=factor)
        else:
            LabourChange.objects.create(**same, factor=factor, at=fit.made_at)
