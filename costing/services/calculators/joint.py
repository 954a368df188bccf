"""The joint calculator: what follows from one joint between two sections."""

# ruff: noqa: RUF009 -- `told` answers a dataclass field, not a value.

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, ClassVar

from costing.services.calculators.calculator import Calculator
from costing.services.calculators.limits import Limits
from orders.core import drawing
from orders.core.book import JointStudy, joint_type, joint_types, study
from orders.core.contact import GlueArea
from orders.core.drivers import Drivers
from orders.core.errors import RuleBroken
from orders.core.figures import Caution, cautions
from orders.core.joint import Advice, Joint, OwnField, Section
from orders.core.orderfile import STRICT, told
from orders.core.release import Release
from orders.core.species import species as species_of
from orders.core.times import Method, TimedOperation, minutes_for


@dataclass(frozen=True, slots=True, kw_only=True)
class JointDocument:
    """One joint to be studied; what is left out follows the type's example and rules of thumb."""

    __pydantic_config__: ClassVar[Mapping[str, Any]] = STRICT

    type: str = told("Code of the joint type.", example="mortise-tenon", max_length=40)
    a: Section | None = told("The part that receives.", default=None)
    b: Section | None = told("The part that enters.", default=None)
    dimensions: Mapping[str, float | int | str] = field(
        default_factory=dict, metadata={"description": "Own dimensions by name."}
    )
    count: int = told("Like joints in the batch.", default=1, ge=1, le=10_000)
    species: str = told(
        "Code of the timber species; reference hardness when empty.", default="", max_length=40
    )
    drawing: bool = told("Whether to draw it apart, as SVG.", default=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class MemberAnswer:
    """One member: how much wood it has after the joint is cut, and how much is cut away."""

    key: str
    label: str
    volume_mm3: float
    removed_mm3: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchLength:
    """One length that the bench works to."""

    label: str
    value_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """The operations by one method, and their minutes for the whole batch."""

    operations: tuple[TimedOperation, ...]
    total_min: float


@dataclass(frozen=True, slots=True, kw_only=True)
class JointAnswer:
    """A joint, studied. Comparison figures, not design values.

    `glue_total_mm2` is all that is spread with glue, for its quantity and not for strength.
    """

    type: str
    label: str
    a: Section
    b: Section
    dimensions: Mapping[str, float | int | str]
    count: int
    lengths: tuple[BenchLength, ...]
    members: tuple[MemberAnswer, ...]
    a_length_in_joint_mm: float
    b_length_in_joint_mm: float
    glue: GlueArea
    glue_total_mm2: float
    holds: Release
    drivers: Drivers
    by_hand: Work
    by_machine: Work
    cautions: tuple[Caution, ...]
    advice: tuple[Advice, ...]
    outdoor_advice: tuple[Advice, ...]
    drawing_svg: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ListedType:
    """A joint type: what it joins, and its dimensions with their rules of thumb.

    The defaults are those for the sections of `a` and `b`, the usual ones of the type.
    """

    type: str
    label: str
    summary: str
    a_label: str
    b_label: str
    a: Section
    b: Section
    dimensions: tuple[OwnField, ...]


def list_types() -> tuple[ListedType, ...]:
    """Every joint type of the book, in the order of their labels."""
    return tuple(
        ListedType(
            type=kind.code,
            label=kind.label,
            summary=kind.summary,
            a_label=kind.a_label,
            b_label=kind.b_label,
            a=kind.example[0],
            b=kind.example[1],
            dimensions=kind.fields(*kind.example),
        )
        for kind in joint_types().values()
    )


def study_joint(document: JointDocument, limits: Limits) -> JointAnswer:
    """Everything that follows from the joint; raises RuleBroken where it cannot be made."""
    joint = _fitted(document)
    found = study(joint)
    by_hand, by_machine = (_work(found, document, way) for way in (Method.HAND, Method.MACHINE))
    return JointAnswer(
        type=joint.code,
        label=joint.label,
        a=joint.a,
        b=joint.b,
        dimensions=joint.own_dimensions(),
        count=document.count,
        lengths=tuple(
            BenchLength(label=each.label, value_mm=each.value_mm)
            for each in found.geometry.dimensions
        ),
        members=tuple(
            MemberAnswer(
                key=member.key,
                label=member.label,
                volume_mm3=member.volume_mm3,
                removed_mm3=member.removed_mm3,
            )
            for member in found.geometry.members
        ),
        a_length_in_joint_mm=found.a_length_in_joint_mm,
        b_length_in_joint_mm=found.b_length_in_joint_mm,
        glue=found.glue,
        glue_total_mm2=found.glue.total_mm2,
        holds=found.holds,
        drivers=found.drivers,
        by_hand=by_hand,
        by_machine=by_machine,
        cautions=_cautions(*by_hand.operations, *by_machine.operations),
        advice=found.advice,
        outdoor_advice=found.outdoor_advice,
        drawing_svg=str(drawing.isometric(found.geometry)) if document.drawing else None,
    )


def _fitted(document: JointDocument) -> Joint:
    kind = joint_type(document.type)
    names = {own.name for own in kind.fields()}
    for name in document.dimensions:
        if name not in names:
            known = ", ".join(sorted(names)) or "none"
            raise RuleBroken(
                f"dimensions/{name}",
                f"A {kind.label.lower()} has no such dimension; it has {known}.",
            )
    a, b = document.a or kind.example[0], document.b or kind.example[1]
    try:
        return kind.fitted(a, b, **document.dimensions)
    except RuleBroken as fault:
        raise fault.under("dimensions") if fault.field in names else fault from None


def _work(found: JointStudy, document: JointDocument, method: Method) -> Work:
    species = species_of(document.species) if document.species else None
    operations = minutes_for(found, document.count, method, species)
    return Work(operations=operations, total_min=sum(each.total_min for each in operations))


def _cautions(*operations: TimedOperation) -> tuple[Caution, ...]:
    known = cautions()
    codes = dict.fromkeys(operation.caution for operation in operations)
    return tuple(known[code] for code in codes if code in known)


JOINT = Calculator(
    name="joint",
    summary="Study a joint: glue area, what holds dry, wood removed, operations with minutes.",
    document=JointDocument,
    answer=JointAnswer,
    reckon=study_joint,
)
