"""A drawer: lapped dovetails in front, the back housed in the sides, the bottom in grooves."""

from collections.abc import Mapping

from orders.core.errors import RuleBroken
from orders.core.joint import Section
from orders.core.pattern import Axis, Draft, block, clearance_mm, in_joint_mm, rounded

FRONT_PER_SIDE = 1.6
BOTTOM_UP_MM = 8.0
LEAST_WIDTH_MM, LEAST_HEIGHT_MM, LEAST_DEPTH_MM = 80.0, 30.0, 80.0


def drawer_box(
    *,
    width_mm: float,
    height_mm: float,
    depth_mm: float,
    timber: str,
    blame: Mapping[str, str],
    side_mm: float = 12.0,
    bottom_mm: float = 6.0,
    moisture_made: float = 8.0,
    moisture_most: float = 13.0,
    quantity: int = 1,
) -> Draft:
    """A drawer by its outer sizes, its front at the greatest z.

    `blame` names the fields that width, height and depth come from.

    Raises RuleBroken on one of those when the drawer is too small.
    """
    for name, size, least in (
        ("width", width_mm, LEAST_WIDTH_MM),
        ("height", height_mm, LEAST_HEIGHT_MM),
        ("depth", depth_mm, LEAST_DEPTH_MM),
    ):
        if size < least:
            raise RuleBroken(
                blame[name],
                f"That leaves a drawer of {size:.0f} mm in {name}; it needs at least {least:g}.",
            )
    draft = Draft("Drawer", timber, quantity)
    front_mm = rounded(side_mm * FRONT_PER_SIDE)
    lap = in_joint_mm(
        "lapped-dovetail",
        Section(width_mm=height_mm, thickness_mm=front_mm, length_mm=width_mm),
        Section(width_mm=height_mm, thickness_mm=side_mm, length_mm=depth_mm),
        blame=blame["height"],
    )
    back_mm = rounded(side_mm * 0.8)
    back_foot = BOTTOM_UP_MM + bottom_mm
    front = draft.part(
        "drawer front",
        [block(0, 0, depth_mm - front_mm, width_mm, height_mm, front_mm)],
        along=Axis.X,
        flat=Axis.Z,
        note=f"groove {bottom_mm:g} x 5, {BOTTOM_UP_MM:g} from the lower edge",
    )
    side = draft.part(
        "drawer side",
        [
            block(x, 0, 0, side_mm, height_mm, depth_mm - front_mm)
            for x in (0.0, width_mm - side_mm)
        ],
        along=Axis.Z,
        flat=Axis.X,
        longer_mm=lap,
        note=f"groove {bottom_mm:g} x 5, {BOTTOM_UP_MM:g} from the lower edge",
    )
    between = width_mm - 2 * side_mm
    back = draft.part(
        "drawer back",
        [block(side_mm, back_foot, 12.0, between, height_mm - back_foot, back_mm)],
        along=Axis.X,
        flat=Axis.Z,
        longer_mm=2 * side_mm / 3,
    )
    _bottom(draft, between, depth_mm - front_mm, side_mm, bottom_mm, moisture_made, moisture_most)
    draft.joint(
        "lapped-dovetail", front, side, count=2, name="side into front", blame=blame["height"]
    )
    draft.joint("housing", side, back, count=2, name="back into side", blame=blame["height"])
    draft.extra("plough-groove", 3)
    return draft


def _bottom(
    draft: Draft,
    between: float,
    deep: float,
    side_mm: float,
    bottom_mm: float,
    moisture_made: float,
    moisture_most: float,
) -> None:
    """The bottom slides in from behind, its grain from side to side."""
    groove = 5.0
    gap = clearance_mm(deep, draft.timber, moisture_made, moisture_most)
    draft.part(
        "drawer bottom",
        [block(side_mm, BOTTOM_UP_MM, 0, between, bottom_mm, deep)],
        along=Axis.X,
        flat=Axis.Y,
        longer_mm=2 * (groove - 1),
        wider_mm=groove - gap if groove > gap else 0.0,
        note="dry in its grooves; one screw at the back, in a slot",
    )
    draft.gap(
        "room behind the drawer bottom",
        gap,
        "The bottom swells from front to back; it is never glued.",
    )
