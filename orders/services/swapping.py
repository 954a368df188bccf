"""Putting one joint type in the place of another: for one joint, or for all like it in an order."""

from __future__ import annotations

from typing import Any

from django.db import transaction

from orders.core.alternatives import Comparison, compare
from orders.core.book import joint_type
from orders.core.errors import RuleBroken, RulesBroken
from orders.core.exposure import Exposure
from orders.core.joint import Joint as FittedJoint
from orders.core.species import species
from orders.core.times import StandardTimes
from orders.models import Commission, Joint

from .fitting import fit, fixings_of
from .holding import hold_open
from .joints import change_joint

OUTDOORS = (Exposure.SHELTERED_EXTERIOR, Exposure.WEATHER_EXTERIOR)


def alternatives_of(joint: Joint, times: StandardTimes, *, count: int) -> Comparison:
    """What could take the place of a joint, `count` of them, on the same parts.

    Raises RuleBroken when the joint itself breaks its rules.
    """
    woods = (species(joint.part_a.species), species(joint.part_b.species))
    exposure = Exposure(joint.assembly.commission.exposure)
    return compare(
        fit(joint.type, joint.part_a, joint.part_b, joint.dimensions),
        count=count,
        wood=woods,
        is_outdoors=exposure in OUTDOORS,
        times=times,
        fixings=fixings_of(joint.fixings),
    )


@transaction.atomic
def swap_joint(joint: Joint, to: str, *, version: int | None = None) -> Joint:
    """Make one joint of another type, by that type's rules of thumb.

    Raises NotNow if the breakdown is frozen, RuleBroken if the parts do not suit the type.
    """
    return change_joint(
        joint, version=version, type=to, dimensions=dimensions_for(joint, to), jig="", fixings=[]
    )


@transaction.atomic
def swap_all(commission: Commission, was: str, to: str) -> list[Joint]:
    """Make every joint of a type in an order one of another type: all of them, or none.

    Raises RulesBroken, naming each joint whose parts do not suit the type.
    """
    hold_open(commission.pk)
    found = Joint.objects.filter(assembly__commission=commission, type=was)
    faults: list[RuleBroken] = []
    changed: list[Joint] = []
    for joint in found.select_related("assembly__commission", "part_a", "part_b").order_by("pk"):
        try:
            changed.append(swap_joint(joint, to))
        except RuleBroken as fault:
            faults.append(RuleBroken("to", f"{joint.assembly}, {joint}: {fault.message}"))
        except RulesBroken as fault:
            faults += [
                RuleBroken("to", f"{joint.assembly}, {joint}: {one.message}")
                for one in fault.errors
            ]
    if faults:
        raise RulesBroken(faults)
    return changed


def dimensions_for(joint: Joint, to: str) -> dict[str, Any]:
    """What a type needs to be told to stand as the joint stands now."""
    present: FittedJoint = fit(joint.type, joint.part_a, joint.part_b, joint.dimensions)
    kind = joint_type(to)
    for arrangement in present.arrangements:
        if arrangement in kind.suits:
            return dict(kind.given_for(arrangement))
    return {}
