"""What drives the minutes of a joint: counted and measured on its solids."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from orders.core.contact import Contact
from orders.core.skin import lines_on_surface, member_skin, sawn_lines, total_length
from orders.core.solids import Geometry, Member, Solid


class Quantity(StrEnum):
    """The quantities that an operation's time may depend on, in the units of standard times."""

    EACH = "each"
    LINE_M = "line_m"
    SAWN_M = "sawn_m"
    CUT_CM2 = "cut_cm2"
    REMOVED_CM3 = "removed_cm3"
    HOLES = "holes"
    HOLE_DEPTH_MM = "hole_depth_mm"
    FITTED_CM2 = "fitted_cm2"
    GLUE_CM2 = "glue_cm2"


@dataclass(frozen=True, slots=True, kw_only=True)
class MemberDrivers:
    """One member's work.

    `line_mm` is the length of the lines where cuts break the surface and are marked, `sawn_mm` the
    length of those that a saw can follow, `cut_mm2` all new flat surface, `fitted_mm2` the surface
    that has to meet another member.
    """

    key: str
    line_mm: float
    sawn_mm: float
    cut_mm2: float
    removed_mm3: float
    hole_count: int
    hole_depth_mm: float
    fitted_mm2: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Drivers:
    """The work of a joint, member by member, and the area that is glued."""

    members: tuple[MemberDrivers, ...]
    glue_mm2: float

    def value(self, driver: str) -> float:
        """The value of a driver such as "sawn_m" (all members) or "b.sawn_m" (member b alone)."""
        key, _, name = driver.rpartition(".")
        quantity = Quantity(name)
        if quantity is Quantity.EACH:
            return 0.0
        if quantity is Quantity.GLUE_CM2:
            return self.glue_mm2 / 100
        chosen = [member for member in self.members if key in ("", member.key)]
        return sum(_measured(member, quantity) for member in chosen)


def drivers(geometry: Geometry, faces: Iterable[Contact]) -> Drivers:
    """Measure the work of a joint."""
    contacts = tuple(faces)
    return Drivers(
        members=tuple(_member_drivers(member, contacts) for member in geometry.members),
        glue_mm2=sum(face.area_mm2 for face in contacts),
    )


def length_in_joint_mm(geometry: Geometry, key: str) -> float:
    """How much of a member's length along its grain lies within the joint, 0 where it runs past.

    Its overall length less this much at each end is its length between shoulders.
    """
    member = geometry.member(key)
    low, high = _reach(member.blank, member)
    others = [
        _reach(other.blank, member)
        for other in geometry.members
        if other.key in ("a", "b") and other.key != key
    ]
    overlaps = [
        min(high, top) - max(low, bottom)
        for bottom, top in others
        if _ends_within(low, high, bottom, top)
    ]
    return max((overlap for overlap in overlaps), default=0.0)


def _member_drivers(member: Member, contacts: tuple[Contact, ...]) -> MemberDrivers:
    cuts = [patch for patch in member_skin(member) if patch.is_cut]
    lines = [lines_on_surface(patch, member.blank) for patch in cuts]
    return MemberDrivers(
        key=member.key,
        line_mm=sum(total_length(run) for run in lines),
        sawn_mm=sum(total_length(sawn_lines(run)) for run in lines),
        cut_mm2=sum(patch.area_mm2 for patch in cuts),
        removed_mm3=max(0.0, member.removed_mm3),
        hole_count=len(member.holes),
        hole_depth_mm=sum(hole.depth_mm for hole in member.holes),
        fitted_mm2=sum(
            face.area_mm2 for face in contacts if member.key in (face.from_key, face.to_key)
        ),
    )


def _measured(member: MemberDrivers, quantity: Quantity) -> float:
    return {
        Quantity.LINE_M: member.line_mm / 1e3,
        Quantity.SAWN_M: member.sawn_mm / 1e3,
        Quantity.CUT_CM2: member.cut_mm2 / 1e2,
        Quantity.REMOVED_CM3: member.removed_mm3 / 1e3,
        Quantity.HOLES: float(member.hole_count),
        Quantity.HOLE_DEPTH_MM: member.hole_depth_mm,
        Quantity.FITTED_CM2: member.fitted_mm2 / 1e2,
    }[quantity]


def _reach(solids: Iterable[Solid], member: Member) -> tuple[float, float]:
    extents = [solid.extent(member.grain) for solid in solids]
    return min(low for low, _ in extents), max(high for _, high in extents)


def _ends_within(low: float, high: float, bottom: float, top: float) -> bool:
    """Whether one end of a span, and not the other, lies within another span."""
    slack = 1e-6
    low_within = bottom - slack <= low <= top + slack
    high_within = bottom - slack <= high <= top + slack
    return low_within != high_within
