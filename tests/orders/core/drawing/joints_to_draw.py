"""Joints of every type, at sizes drawn by chance, for the tests of drawings."""

from hypothesis import assume
from hypothesis import strategies as st

from orders.core.book import joint_types
from orders.core.errors import RuleBroken, RulesBroken
from orders.core.joint import Section

TYPES = tuple(joint_types().values())


def example_of(kind):
    """The geometry of a type's own example."""
    return kind.fitted(*kind.example).geometry()


@st.composite
def geometries(draw, kinds=TYPES):
    """A joint of any type: 8 mm sticks to 300 mm boards, of like and unlike sections."""
    kind = draw(st.sampled_from(kinds))
    widths = st.integers(8, 300)
    ratio = st.floats(0.06, 1.0)
    wide = draw(widths)
    thick = max(4, round(wide * draw(ratio)))
    first = Section(width_mm=wide, thickness_mm=thick, length_mm=2000)
    second = first
    if draw(st.booleans()):
        wide = draw(widths)
        thick = max(4, round(wide * draw(ratio)))
        second = Section(width_mm=wide, thickness_mm=thick, length_mm=1500)
    geometry = None
    try:
        geometry = kind.fitted(first, second).geometry()
    except (RuleBroken, RulesBroken):
        assume(False)
    return geometry
