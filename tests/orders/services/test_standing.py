"""How pieces stand."""

import pytest

from orders.core.pattern_book import all_patterns
from orders.services.assemblies import duplicate_assembly
from orders.services.parts import add_part, change_part, remove_part
from orders.services.patterns import add_made
from orders.services.standing import standing
from tests.builders import a_commission, a_shop_that_can_price, an_assembly

pytestmark = pytest.mark.django_db


def added(pattern: str):
    made = all_patterns()[pattern]().made()
    return add_made(a_commission(a_shop_that_can_price()), made.assembly, pieces=made.pieces), made


@pytest.mark.parametrize("pattern", all_patterns())
def test_what_a_pattern_made_stands_as_it_placed_it(pattern):
    root, made = added(pattern)
    root.refresh_from_db()
    assert standing(root) == made.pieces


def test_a_copy_stands_the_same():
    root, made = added("drawer")
    assert standing(duplicate_assembly(root)) == made.pieces


def test_it_no_longer_stands_once_a_part_has_another_size():
    root, _ = added("stool")
    part = root.parts.first()
    change_part(part, length_mm=part.length_mm + 10)
    assert standing(root) == ()


def test_it_no_longer_stands_once_a_part_is_added_or_taken_away():
    root, made = added("box")
    part = add_part(
        root, name="knob", species="oak-white", length_mm=30, width_mm=30, thickness_mm=30
    )
    assert standing(root) == ()
    remove_part(part)
    assert standing(root) == made.pieces


def test_another_name_or_timber_leaves_it_standing():
    root, made = added("box")
    change_part(root.parts.first(), species="ash-white", name="front")
    assert standing(root) == made.pieces


def test_what_no_pattern_made_has_no_place(django_assert_num_queries):
    assembly = an_assembly(a_commission(a_shop_that_can_price()))
    with django_assert_num_queries(0):
        assert standing(assembly) == ()
