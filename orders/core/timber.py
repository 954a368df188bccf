"""Advice that depends on the timber of a joint's parts: bonding, slope of dovetails, movement."""

from collections.abc import Iterator

from orders.core.book import JointStudy
from orders.core.contact import Contact, Pairing
from orders.core.figures import dovetail_slopes
from orders.core.joint import Advice, Joint
from orders.core.movement import movement_mm
from orders.core.solids import Member
from orders.core.species import Bonding, Species
from orders.core.vectors import cross, dot, norm, unit

SLOPE_SLACK = 1.5
DRY_MOISTURE, DAMP_MOISTURE = 8.0, 12.0
MOST_MOVEMENT_MM = 1.0


def timber_advice(study: JointStudy, a: Species, b: Species | None = None) -> tuple[Advice, ...]:
    """Warnings for a joint of part a in one species and part b in another, or in the same."""
    woods = (a,) if b is None or b == a else (a, b)
    advice = [_bonding(wood) for wood in woods if wood.bonding is Bonding.WITH_DIFFICULTY]
    advice.extend(_slope(study.joint, b or a))
    advice.extend(_movement(study, a, b or a))
    return tuple(advice)


def restrained_mm(study: JointStudy, key: str) -> float:
    """The greatest width of a part that is glued flat across the grain of the other."""
    member = study.geometry.member(key)
    return max((_across(face, member) for face in _crossed(study)), default=0.0)


def _bonding(wood: Species) -> Advice:
    return Advice(
        text=f"{wood.label} is hard to glue; plan a fixing, or clean the faces just before.",
        reason="It belongs to the species that bond with difficulty.",
        source="Wood Handbook, Forest Products Laboratory, table 10-1",
    )


def _slope(joint: Joint, wood: Species) -> Iterator[Advice]:
    """The slope of a dovetail against the rule for the species; the rules are data."""
    slope = joint.own_dimensions().get("slope")
    kind = "hardwood" if wood.is_hardwood else "softwood"
    usual = [rule for rule in dovetail_slopes() if rule.wood == kind]
    if isinstance(slope, float) and usual and abs(slope - usual[0].one_in) > SLOPE_SLACK:
        yield Advice(
            text=f"A slope of 1 in {usual[0].one_in:g} is usual in {kind}.",
            reason="Soft wood crushes and wants more splay; sources differ, and some say less.",
            source=usual[0].source,
        )


def _movement(study: JointStudy, a: Species, b: Species) -> Iterator[Advice]:
    """Width glued across the other part's grain, against what a season moves it."""
    for key, wood in (("a", a), ("b", b)):
        width = restrained_mm(study, key)
        moved = movement_mm(width, wood.tangential_coefficient, DRY_MOISTURE, DAMP_MOISTURE)
        if moved > MOST_MOVEMENT_MM:
            label = study.geometry.member(key).label
            yield Advice(
                text=(
                    f"The {label} moves about {moved:.1f} mm in a year across {width:.0f} mm "
                    "that are glued to the other's long grain; divide the joint or leave a part "
                    "of it dry."
                ),
                reason=(
                    f"Between {DRY_MOISTURE:g} and {DAMP_MOISTURE:g} % moisture a flat-sawn board "
                    "moves across its grain and hardly along it; over about 1 mm the glue line or "
                    "the wood gives."
                ),
                source=(
                    "Wood Handbook, Forest Products Laboratory, equation 13-1 and table 13-5; "
                    "the limit is common practice, no source"
                ),
            )


def _crossed(study: JointStudy) -> Iterator[Contact]:
    for face in study.contacts:
        if face.pairing is Pairing.LONG_LONG_CROSSED and {face.from_key, face.to_key} == {"a", "b"}:
            yield face


def _across(face: Contact, member: Member) -> float:
    """The width of a face across a member's grain."""
    across = cross(face.normal, member.grain)
    if norm(across) < 1e-6:
        return 0.0
    reaches = [dot(corner, unit(across)) for corner in face.outline]
    return max(reaches) - min(reaches)
