"""What is read for a cutting list; volumes reckoned by hand."""

from decimal import Decimal

import pytest

from costing.models import Sheet, TimberAllowance
from costing.services.sawing import Form, cutting_list
from tests.builders import a_commission, a_part, a_shop_that_can_price, an_assembly
from tests.costing.documents.samples import ON

pytestmark = pytest.mark.django_db


@pytest.fixture
def frame(db):
    """Two frames in a commission; 25, 6 and 4 mm are allowed, and a fifth is lost."""
    shop = a_shop_that_can_price()
    TimberAllowance.objects.create(
        workshop=shop, length_mm=25, width_mm=6, thickness_mm=4, waste_share_of_gross="0.2"
    )
    return an_assembly(a_commission(shop), quantity=2)


def test_volumes_are_those_of_all_pieces(frame):
    a_part(frame, length_mm=975, width_mm=94, thickness_mm=30, quantity=5)
    (group,) = cutting_list(frame.commission, ON).groups
    (part,) = group.parts
    assert (part.rough_length_mm, part.rough_width_mm, part.rough_thickness_mm) == (1000, 100, 34)
    assert group.pieces == part.pieces == 10
    assert group.thickness_mm == 34
    assert group.net_m3 == pytest.approx(10 * 0.975 * 0.094 * 0.030)
    assert group.rough_m3 == pytest.approx(10 * 1.0 * 0.1 * 0.034)
    assert group.gross_m3 == pytest.approx(0.034 / 0.8)
    assert group.gross_board_feet == pytest.approx(0.0425 / 0.002359737216)


def test_the_next_thicker_board_is_taken(frame):
    a_part(frame, thickness_mm=31)
    (group,) = cutting_list(frame.commission, ON).groups
    assert (group.form, group.thickness_mm) == (Form.BOARD, 52)


def test_groups_stand_by_timber_and_thickness_and_parts_by_length(frame):
    a_part(frame, mark="A", thickness_mm=20, length_mm=300)
    a_part(frame, mark="B", thickness_mm=45)
    a_part(frame, mark="C", thickness_mm=22, length_mm=900)
    found = cutting_list(frame.commission, ON)
    assert [[one.part.mark for one in group.parts] for group in found.groups] == [["C", "A"], ["B"]]
    assert found.pieces == 6
    assert found.gross_m3 == pytest.approx(sum(group.gross_m3 for group in found.groups))


def test_what_the_rack_lacks_is_a_group_of_its_own(frame):
    a_part(frame, thickness_mm=100)
    (group,) = cutting_list(frame.commission, ON).groups
    assert (group.form, group.thickness_mm) == (Form.MISSING, 104)
    assert group.gross_m3 > 0


def test_a_sheet_keeps_its_thickness_and_its_own_waste(frame):
    Sheet.objects.create(
        workshop=frame.commission.workshop,
        species="oak-white",
        thickness_mm=18,
        price_per_m2=40,
        waste_share_of_gross=Decimal("0.5"),
    )
    a_part(frame, length_mm=975, width_mm=494, thickness_mm=18)
    (group,) = cutting_list(frame.commission, ON).groups
    assert group.form == Form.SHEET
    assert group.parts[0].rough_thickness_mm == 18
    assert group.rough_m2 == pytest.approx(2 * 1.0 * 0.5)
    assert group.gross_m2 == pytest.approx(2.0)


@pytest.mark.parametrize("count", [1, 40])
def test_queries_do_not_grow_with_the_parts(frame, count, django_assert_num_queries):
    for _ in range(count):
        a_part(frame)
    cutting_list(frame.commission, ON)
    with django_assert_num_queries(9):
        cutting_list(frame.commission, ON)
