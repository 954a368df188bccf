import pytest
from hypothesis import given
from hypothesis import strategies as st

from orders.core.drawing.dimensions import Measure, figure, lay_out
from orders.core.drawing.flat import box_meets_loop, boxes_meet

BODY = [[(0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (0.0, 60.0)]]


@pytest.mark.parametrize(
    ("length_mm", "written"),
    [(70.0, "70"), (12.5, "12.5"), (100.0, "100"), (6.666666, "6.67"), (0.1 + 0.2, "0.3")],
)
def test_millimetres_have_no_trailing_zeros(length_mm, written):
    assert figure(length_mm) == written


@pytest.mark.parametrize(
    ("length_mm", "written"),
    [
        (25.4, "1"),
        (25.4 * 1.1875, "1 3/16"),
        (25.4 / 64, "1/64"),
        (25.4 * 3 / 8, "3/8"),
        (10.0, "13/32"),
        (50.8, "2"),
    ],
)
def test_inches_are_binary_fractions(length_mm, written):
    assert figure(length_mm, "inch") == written


@given(st.floats(1, 3000))
def test_a_figure_in_inches_is_within_a_sixty_fourth_of_the_length(length_mm):
    total = 0.0
    for word in figure(length_mm, "inch").split():
        above, _, below = word.partition("/")
        total += int(above) / int(below or 1)
    assert abs(total * 25.4 - length_mm) <= 25.4 / 64 + 1e-9


def test_a_narrow_gap_puts_its_figure_outside():
    (line,) = lay_out([Measure(figure="6", start=(50.0, 0.0), end=(53.0, 0.0))], BODY)

    assert line.text_box[0] > 53.0 or line.text_box[2] < 50.0


def test_the_shorter_of_two_lengths_lies_nearer_the_wood():
    short = Measure(figure="40", start=(10.0, 0.0), end=(50.0, 0.0))
    long = Measure(figure="100", start=(0.0, 0.0), end=(100.0, 0.0))

    first, second = lay_out([long, short], BODY)

    assert first.measure is short
    assert second.run[1] < first.run[1] < 0


@given(
    st.lists(
        st.tuples(
            st.sampled_from(["across", "down"]),
            st.floats(0, 90),
            st.floats(1, 60),
            st.text("0", min_size=1, max_size=7),
        ),
        min_size=1,
        max_size=9,
    )
)
def test_figures_keep_clear_of_each_other_of_the_wood_and_of_dimension_lines(lengths):
    measures = [
        Measure(figure=text, start=(low, 30.0), end=(low + size, 30.0))
        if way == "across"
        else Measure(figure=text, start=(40.0, low), end=(40.0, low + size))
        for way, low, size, text in lengths
    ]

    lines = lay_out(measures, BODY)

    for place, one in enumerate(lines):
        assert not box_meets_loop(one.text_box, BODY[0])
        for other in lines[place + 1 :]:
            assert not boxes_meet(one.text_box, other.text_box)
            assert not boxes_meet(one.text_box, other.run)
            assert not boxes_meet(one.run, other.text_box)
