"""Patterns that fill an order, and patterns of the shop's own."""

import pytest

from orders.core.errors import RuleBroken
from orders.core.own_pattern import Follows
from orders.core.pattern_book import all_patterns
from orders.models import OwnPattern
from orders.services.breakdown import breakdown
from orders.services.own_patterns import forget_pattern, keep_pattern, made_of
from orders.services.patterns import add_made
from orders.services.standards import current_times, first_edition
from tests.builders import a_commission, a_joint, a_part, a_workshop, an_assembly

pytestmark = pytest.mark.django_db


@pytest.fixture
def commission():
    workshop = a_workshop()
    first_edition(workshop)
    return a_commission(workshop)


@pytest.mark.parametrize("code", sorted(all_patterns()))
def test_every_pattern_enters_an_order_and_can_be_timed(commission, code):
    made = all_patterns()[code]().made()

    added = add_made(commission, made.assembly, quantity=2)

    assert (added.name, added.quantity) == (made.assembly.name, 2)
    assert added.parts.count() == len(made.assembly.parts)
    assert breakdown(commission, current_times(commission.workshop)).minutes > 0


def test_a_pattern_stands_after_what_is_there(commission):
    an_assembly(commission, position=4)

    added = add_made(commission, all_patterns()["box"]().made().assembly)

    assert added.position == 5


def test_a_pattern_may_stand_within_an_assembly(commission):
    case = an_assembly(commission)

    drawer = add_made(commission, all_patterns()["drawer"]().made().assembly, parent=case)

    assert drawer.parent == case


def test_an_assembly_is_kept_and_made_again_at_another_size(commission):
    frame = an_assembly(commission)
    stile = a_part(frame, mark="P1", length_mm=900, width_mm=60)
    rail = a_part(frame, mark="P2", length_mm=600, width_mm=60)
    a_joint(frame, mark="J1", part_a=stile, part_b=rail)
    follows = [
        Follows(mark="P1", size="length_mm", field="height"),
        Follows(mark="P2", size="length_mm", field="height", factor=0.5),
    ]

    kept = keep_pattern(frame, name=" Old  frame ", free={"height": 900.0}, follows=follows)
    made = made_of(kept, {"height": 1100.0})

    assert kept.name == "Old frame"
    assert [part.length_mm for part in made.parts] == [1100, 700]
    assert add_made(commission, made).joints.count() == 1


@pytest.mark.parametrize(("name", "free", "field"), [("", {"h": 1.0}, "name"), ("A", {}, "free")])
def test_a_pattern_needs_a_name_and_a_free_size(commission, name, free, field):
    frame = an_assembly(commission)
    a_part(frame)

    with pytest.raises(RuleBroken) as caught:
        keep_pattern(frame, name=name, free=free)

    assert caught.value.field == field


def test_two_patterns_of_a_name_are_refused_and_one_is_thrown_away(commission):
    frame = an_assembly(commission)
    a_part(frame)
    kept = keep_pattern(frame, name="Frame", free={"l": 600.0})
    with pytest.raises(RuleBroken, match="already a pattern"):
        keep_pattern(frame, name="Frame", free={"l": 600.0})

    forget_pattern(kept)

    assert not OwnPattern.objects.exists()
