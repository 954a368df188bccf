"""Supposing a commission otherwise, to be priced and thrown away, or to be adopted."""

from __future__ import annotations

from django.db import transaction

from orders.core.errors import NotReady, RuleBroken, RulesBroken
from orders.core.supposition import MOST_OFF, Supposition
from orders.core.times import StandardTimes
from orders.models import Assembly, Commission, Joint, Part
from orders.services.breakdown import breakdown
from orders.services.rows import Rows
from orders.services.swapping import dimensions_for

from .holding import hold_open


def suppose(
    rows: Rows, supposition: Supposition, times: StandardTimes
) -> list[Assembly | Part | Joint]:
    """Change the rows as is supposed, stored ones untouched; those that changed.

    Raises RulesBroken for what cannot be supposed, NotReady naming each joint whose parts do not
    suit the type that is to take its place.
    """
    if faults := supposition.faults():
        raise RulesBroken(faults)
    return [
        *_more(rows, supposition.quantity),
        *_of_species(rows, supposition),
        *_joined(rows, supposition, times),
    ]


@transaction.atomic
def adopt(commission: Commission, supposition: Supposition, times: StandardTimes) -> Commission:
    """Make the commission what was supposed: all of it, or nothing.

    Raises NotNow if its breakdown is frozen, and as `suppose` and `breakdown` do.
    """
    commission = hold_open(commission.pk)
    rows = Rows.of(commission)
    changed = suppose(rows, supposition, times)
    breakdown(commission, times, rows)
    for row in changed:
        row.save_next()
    return commission


def _more(rows: Rows, quantity: int) -> list[Assembly]:
    tops = [assembly for assembly in rows.assemblies if assembly.parent_id is None]
    if quantity == 1:
        return []
    for assembly in tops:
        assembly.quantity *= quantity
        if assembly.quantity > MOST_OFF:
            raise RuleBroken("quantity", f"That is more than {MOST_OFF:,} of {assembly}.")
    return tops


def _of_species(rows: Rows, supposition: Supposition) -> list[Part]:
    changed = [part for part in rows.parts if part.species in supposition.species]
    for part in changed:
        part.species = supposition.species[part.species]
    return changed


def _joined(rows: Rows, supposition: Supposition, times: StandardTimes) -> list[Joint]:
    """Other types first, and then the method, where the type that now stands can be made by it."""
    sentences: list[str] = []
    changed: list[Joint] = []
    for joint in rows.joints:
        before = joint.type, joint.method
        to = supposition.joints.get(joint.type)
        if to is not None:
            try:
                joint.dimensions = dimensions_for(joint, to)
                joint.type, joint.jig, joint.fixings = to, "", []
            except RuleBroken as fault:
                sentences.append(f"{joint}: {fault.message}")
        method = supposition.method
        if method is not None and times.of(joint.type, method):
            joint.method = method.value
        if (joint.type, joint.method) != before:
            changed.append(joint)
    if sentences:
        raise NotReady(" ".join(sentences))
    return changed
