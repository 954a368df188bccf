"""The cutting list on paper."""

import re
from decimal import Decimal

import pytest

from costing.documents.cutting_list import cutting_list_pdf
from costing.models import Sheet, TimberAllowance
from costing.services.sawing import cutting_list
from tests.builders import a_commission, a_part, a_shop_that_can_price, an_assembly
from tests.costing.documents.reading import pages, words
from tests.costing.documents.samples import ON, a_bench

pytestmark = pytest.mark.django_db


def list_of(commission) -> bytes:
    return cutting_list_pdf(cutting_list(commission, ON))


def test_parts_stand_by_timber_and_thickness_with_both_sizes():
    bench = a_bench()
    TimberAllowance.objects.create(
        workshop=bench.workshop,
        length_mm=25,
        width_mm=6,
        thickness_mm=4,
        waste_share_of_gross="0.2",
    )
    said = words(list_of(bench))
    assert re.search(r"White oak, 34 mm boards\s+1 piece", said)
    assert re.search(r"White oak, 52 mm boards\s+10 pieces", said)
    assert re.search(r"P2 +seat rail +Seat frame +2 +49 +101 +1285 +45 +95 +1260", said)
    assert re.search(r"P1 +leg +Seat frame +8 +49 +76 +745 +45 +70 +720", said)
    assert said.index("seat rail") < said.index("leg")


def test_the_timber_adds_up():
    bench = a_bench()
    sawing = cutting_list(bench, ON)
    said = words(list_of(bench))
    for figure in (sawing.net_m3, sawing.rough_m3, sawing.gross_m3):
        assert f"{figure:.4f}" in said
    assert "board feet" not in said


def test_board_feet_are_for_workshops_of_inches():
    bench = a_bench(unit="inch")
    said = words(list_of(bench))
    assert "to buy, board feet" in said
    assert f"{cutting_list(bench, ON).gross_board_feet:.1f}" in said
    assert '49.606"' in said


def test_what_the_rack_lacks_is_listed_and_named():
    bench = a_bench()
    a_part(bench.assemblies.first(), mark="P8", name="panel", species="walnut-black")
    assert "Black walnut, 24 mm not in the rack" in " ".join(words(list_of(bench)).split())


def test_sheets_are_measured_by_area():
    bench = a_bench()
    Sheet.objects.create(
        workshop=bench.workshop,
        species="oak-white",
        thickness_mm=24,
        price_per_m2=40,
        waste_share_of_gross=Decimal("0.5"),
    )
    said = " ".join(words(list_of(bench)).split())
    assert "White oak, 24 mm sheet" in said
    assert "0.07" in said  # 600 x 60 mm, half of it lost: 0.072 m2


def test_a_commission_without_parts_says_so():
    empty = a_commission(a_shop_that_can_price(), number=12)
    an_assembly(empty)
    assert "There is no part in this commission yet." in words(list_of(empty))


def test_two_hundred_parts_repeat_the_heads_of_their_columns():
    bench = a_bench()
    whole = bench.assemblies.first()
    for number in range(200):
        a_part(whole, mark=f"S{number}", name="slat " + "of a long name " * 7)
    found = pages(list_of(bench))
    assert len(found) > 8
    for text in found:
        assert ("slat" not in text) or ("thick" in text and "White oak, 27 mm" in text)
    everything = "\n".join(found)
    assert all(re.search(rf"\bS{number}\b", everything) for number in range(200))
