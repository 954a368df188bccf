"""The joint book: every joint type by its code, and everything that is known of one joint."""

import importlib
import pkgutil
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import lru_cache
from types import MappingProxyType

from orders.core import joints
from orders.core.advice import glue_advice, outdoor_advice
from orders.core.contact import Contact, GlueArea, contacts, glue_area
from orders.core.drivers import Drivers, drivers, length_in_joint_mm
from orders.core.errors import RuleBroken
from orders.core.joint import Advice, Joint
from orders.core.release import Release, release
from orders.core.solids import Geometry


@dataclass(frozen=True, slots=True, kw_only=True)
class JointStudy:
    """What follows from one joint's solids. Comparison figures, not design values.

    `a_length_in_joint_mm` and `b_length_in_joint_mm` are how much of each part's finished length
    lies within the joint; less these, a part has its length between shoulders.
    """

    joint: Joint
    geometry: Geometry
    contacts: tuple[Contact, ...]
    glue: GlueArea
    holds: Release
    drivers: Drivers
    a_length_in_joint_mm: float
    b_length_in_joint_mm: float
    advice: tuple[Advice, ...]
    outdoor_advice: tuple[Advice, ...]


@lru_cache(maxsize=1)
def joint_types() -> Mapping[str, type[Joint]]:
    """Every joint type by code, in the order of their labels."""
    found: list[type[Joint]] = [
        importlib.import_module(f"{joints.__name__}.{module.name}").JOINT
        for module in pkgutil.iter_modules(joints.__path__)
    ]
    return MappingProxyType(
        {kind.code: kind for kind in sorted(found, key=lambda kind: kind.label)}
    )


def joint_type(code: str) -> type[Joint]:
    """The joint type of a code.

    Raises RuleBroken on "type" when the book has no such type.
    """
    known = joint_types()
    if code not in known:
        near = get_close_matches(code, known, n=3, cutoff=0.4) or list(known)
        raise RuleBroken(
            "type", f"There is no joint type {code!r}; did you mean {' or '.join(near)}?"
        )
    return known[code]


@lru_cache(maxsize=4096)
def study(joint: Joint) -> JointStudy:
    """Everything that follows from a joint; computed once for each distinct joint."""
    geometry = joint.geometry()
    faces = contacts(geometry)
    glue = glue_area(faces)
    holds = release(geometry, faces)
    return JointStudy(
        joint=joint,
        geometry=geometry,
        contacts=faces,
        glue=glue,
        holds=holds,
        drivers=drivers(geometry, faces),
        a_length_in_joint_mm=length_in_joint_mm(geometry, "a"),
        b_length_in_joint_mm=length_in_joint_mm(geometry, "b"),
        advice=(*joint.proportions(), *glue_advice(geometry, faces, glue, holds)),
        outdoor_advice=outdoor_advice(geometry),
    )
