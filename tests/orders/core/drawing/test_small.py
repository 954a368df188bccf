import pytest

from orders.core.contact import Pairing
from orders.core.drawing import holds, swatch
from tests.orders.core.drawing.reading import points_of, root_of


def test_a_bar_ends_what_is_held_and_an_arrow_shows_the_way_out():
    svg = holds(["+x"], ident="h", words="Comes apart only along the rail.")

    assert svg.count('class="d-bar"') == 5
    assert svg.count('class="d-open"') == 1
    assert svg.count('class="d-openhead"') == 1
    assert next(iter(root_of(svg))).text == "Comes apart only along the rail."


def test_what_is_free_may_be_told_of_each_direction():
    svg = holds({"+x": True, "-x": False, "+y": False, "-y": True, "+z": False, "-z": False})

    assert svg == holds(["+x", "-y"])
    assert "2 of six directions open" in svg


def test_the_arrow_of_a_rail_points_to_the_right_and_down():
    tips = points_of(holds(["+x"]), "d-openhead")

    assert max(u for u, _ in tips) > 40
    assert max(v for _, v in tips) > 20


def test_a_way_aslant_to_the_axes_has_an_arrow_of_its_own():
    slant = 0.5**0.5

    svg = holds([], ways=[(slant, -slant, 0.0), (1.0, 0.0, 0.0)])

    assert svg.count('class="d-open"') == 1
    assert svg.count('class="d-bar"') == 6


@pytest.mark.parametrize("pairing", list(Pairing))
def test_every_pairing_has_a_swatch_of_its_own(pairing):
    svg = swatch(pairing)

    root_of(svg)
    assert "style=" not in svg
    assert all(svg != swatch(other) for other in Pairing if other is not pairing)
