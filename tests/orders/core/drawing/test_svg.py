import re

import weasyprint

from orders.core.drawing import for_paper, holds, isometric
from orders.core.drawing.svg import number
from tests.orders.core.drawing.joints_to_draw import TYPES, example_of
from tests.orders.core.drawing.reading import root_of

BY_CODE = {kind.code: kind for kind in TYPES}


def test_numbers_are_written_to_a_tenth_and_no_longer_than_need_be():
    assert [number(value) for value in (1.0, -0.04, 2.25, -3.96, 0.05)] == [
        "1",
        "0",
        "2.2",
        "-4",
        "0",
    ]


def test_paper_has_its_own_style_of_literal_values():
    svg = for_paper(isometric(example_of(BY_CODE["mortise-tenon"]), ident="p"))

    root_of(svg)
    style = re.search(r"<style>(.*?)</style>", svg, re.DOTALL)[1]
    assert "var(" not in style
    assert "font:" not in style
    for classes in set(re.findall(r"\bd-[a-z]+", svg.replace(style, ""))):
        assert f".{classes}{{" in style or f".{classes}," in style, classes


def test_a_drawing_goes_through_the_printer_of_pages():
    drawing = for_paper(isometric(example_of(BY_CODE["mortise-tenon"]), ident="p"))
    small = for_paper(holds(["+x"]))

    document = weasyprint.HTML(string=f"<p>{drawing}{small}</p>").render()

    assert len(document.pages) == 1
