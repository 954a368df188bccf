"""What every tenon has in common: its usual thickness, what it cannot do, and what is unwise."""

from orders.core.joint import Advice, Section, nearest_tool, require_at_most


def usual_thickness(a: Section, b: Section) -> float:
    """A third of the stile to the nearest tool, but never more than the thinner part allows.

    Source: Noyes, Handwork in Wood (1910), chapter VII no. 42.
    """
    thin = min(a.thickness_mm, b.thickness_mm)
    tool = nearest_tool(a.thickness_mm / 3)
    return tool if tool < thin else thin / 3


def usual_length(a: Section, b: Section) -> float:
    """Two thirds of the stile's width. Source: common practice, no source."""
    return min(a.width_mm * 2 / 3, b.length_mm / 3)


def usual_clearance(a: Section, length_mm: float) -> float:
    """2 mm below a stopped tenon, none below a through one.

    Source: common practice, no source.
    """
    return max(0.0, min(2.0, a.width_mm - length_mm))


def require_tenon(
    a: Section, b: Section, *, thickness_mm: float, length_mm: float, clearance_mm: float
) -> None:
    """Raise RuleBroken where a tenon fits neither the stile nor the rail."""
    require_at_most(
        "tenon_thickness_mm",
        thickness_mm,
        min(a.thickness_mm, b.thickness_mm),
        "The tenon cannot be thicker than the thinner of the two parts.",
    )
    require_at_most(
        "tenon_length_mm",
        length_mm,
        a.width_mm,
        "The tenon is longer than the stile is wide; shorten it.",
    )
    require_at_most(
        "tenon_length_mm",
        length_mm,
        b.length_mm,
        "The tenon is longer than the whole rail; shorten it.",
    )
    require_at_most(
        "clearance_mm",
        clearance_mm,
        a.width_mm - length_mm,
        "The mortise would break through the stile; reduce the clearance or the tenon length.",
    )


def tenon_advice(
    a: Section, b: Section, *, thickness_mm: float, width_mm: float, length_mm: float
) -> tuple[Advice, ...]:
    """Thickness, width, depth and shoulders against the usual."""
    advice = []
    if thickness_mm > a.thickness_mm / 3 * 1.15:
        advice.append(
            Advice(
                text="The tenon is thicker than a third of the stile.",
                reason="Thick tenons leave thin mortise cheeks that split.",
                source="Noyes, Handwork in Wood (1910), chapter VII no. 42",
            )
        )
    if width_mm > 6 * thickness_mm + 1e-9:
        advice.append(
            Advice(
                text="The tenon is wider than six times its thickness; make two.",
                reason="A long mortise weakens the stile and a wide tenon moves across it.",
                source="common practice, no source",
            )
        )
    if length_mm < a.width_mm - 1e-9 and length_mm < 3 * thickness_mm:
        advice.append(
            Advice(
                text="The mortise is shallower than three times its width.",
                reason="A short tenon has little cheek to glue and works loose.",
                source="common practice, no source",
            )
        )
    if (b.thickness_mm - thickness_mm) / 2 < 3:
        advice.append(
            Advice(
                text="The face shoulders are under 3 mm.",
                reason="A narrow shoulder does not hide the mortise or steady the rail.",
                source="common practice, no source",
            )
        )
    return tuple(advice)
