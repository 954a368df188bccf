"""What the halvings have in common: two parts cut to half, flush on the face side z = 0."""

from orders.core.joint import Joint, Section, require_at_most, visible_length
from orders.core.solids import Dimension, Geometry, Member, Solid, View
from orders.core.vectors import X, Y, Z


def usual_lap(a: Section, b: Section) -> float:
    """Half the thickness of the thinner part. Source: common practice, no source."""
    return min(a.thickness_mm, b.thickness_mm) / 2


def require_lap(joint: Joint, lap_mm: float) -> None:
    """Raise RuleBroken where a lap leaves nothing, or a part is shorter than the crossing."""
    thin = min(joint.a.thickness_mm, joint.b.thickness_mm)
    if lap_mm >= thin - 1e-9:
        require_at_most(
            "lap_thickness_mm",
            lap_mm,
            thin / 2,
            "The lap leaves nothing of the thinner part; half its thickness is usual.",
        )
    for wide, long, label in (("b", joint.a, joint.a_label), ("a", joint.b, joint.b_label)):
        require_at_most(
            f"{wide}/width_mm",
            getattr(joint, wide).width_mm,
            long.length_mm,
            f"The {label} is shorter than the lap, which is as long as the other is wide.",
        )


def lapped(joint: Joint, lap_mm: float, *, a_runs_on: bool, b_runs_on: bool) -> Geometry:
    """The members of a halving: b keeps its face side, a its back.

    A part that runs on passes the crossing; one that does not ends with it.
    """
    reach = visible_length(joint)
    a, b = joint.a, joint.b
    across, up = (-a.width_mm, 0.0), (0.0, b.width_mm)
    top = b.width_mm + (reach if a_runs_on else 0.0)
    left = -a.width_mm - (reach if b_runs_on else 0.0)
    return Geometry(
        members=(
            Member.of(
                "a",
                joint.a_label,
                grain=Y,
                blank=Solid.block(across, (-reach, top), (-a.thickness_mm, 0)),
                cuts=(Solid.block(across, up, (-lap_mm, 0)),),
            ),
            Member.of(
                "b",
                joint.b_label,
                grain=X,
                blank=Solid.block((left, reach), up, (-b.thickness_mm, 0)),
                cuts=(Solid.block(across, up, (-b.thickness_mm, -lap_mm)),),
                leaves=Z,
            ),
        ),
        dimensions=lap_dimensions(joint, lap_mm, reach),
    )


def lap_dimensions(joint: Joint, lap_mm: float, reach: float) -> tuple[Dimension, ...]:
    """Length, width and thickness of the lap, and the two thicknesses."""
    a, b = joint.a, joint.b
    wide = b.width_mm
    return (
        Dimension.between("lap length", (-a.width_mm, wide, 0), (0, wide, 0), View.FRONT),
        Dimension.between("lap width", (0, 0, 0), (0, wide, 0), View.FRONT),
        Dimension.between(
            "lap thickness", (-a.width_mm, wide, -lap_mm), (-a.width_mm, wide, 0), View.TOP
        ),
        Dimension.between(
            f"{joint.a_label} thickness", (0, -reach, -a.thickness_mm), (0, -reach, 0), View.SIDE
        ),
        Dimension.between(
            f"{joint.b_label} thickness", (reach, wide, -b.thickness_mm), (reach, wide, 0), View.TOP
        ),
    )
