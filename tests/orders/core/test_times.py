"""Minutes of operations, worked by hand from a row, and laws that any edition must keep."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orders.core.errors import RuleBroken
from orders.core.species import species
from orders.core.times import (
    Method,
    Skill,
    StandardTime,
    StandardTimes,
    StationKind,
    extra_operations,
    minutes_for,
    minutes_for_extra,
    starting_times,
)
from tests.orders.core.sections import section, studied

STILE, RAIL = section(48, 24), section(60, 24)


def a_row(**changes) -> StandardTime:
    row = StandardTime(
        joint="mortise-tenon",
        operation="chop-mortise",
        label="Chop the mortise",
        method=Method.HAND,
        station_kind=StationKind.BENCH,
        skill=Skill.JOINERY,
        order=20,
        setup_min=10,
        each_min=4,
        driver="a.removed_cm3",
        per_driver=0.5,
    )
    return replace(row, **changes)


def edition(*rows: StandardTime) -> StandardTimes:
    return StandardTimes(edition=7, rows=rows)


def a_joint():
    return studied("mortise-tenon", STILE, RAIL, tenon_length_mm=30, clearance_mm=2)


def test_minutes_are_setup_and_count_times_each_and_driver():
    """8 x 40 x 32 mm = 10.24 cm3; 10 + 3 x (4 + 0.5 x 10.24) = 37.36 min."""
    (operation,) = minutes_for(a_joint(), 3, Method.HAND, None, edition(a_row()))
    assert operation.driver_value == pytest.approx(10.24)
    assert operation.each_min == pytest.approx(9.12)
    assert operation.total_min == pytest.approx(37.36)


def test_hardness_lengthens_the_cutting_but_not_the_setting_up():
    oak = species("oak-white")
    (operation,) = minutes_for(a_joint(), 1, Method.HAND, oak, edition(a_row()))
    assert operation.setup_min == 10
    assert operation.each_min == pytest.approx(9.12 * (6050 / 4448.222) ** 0.3)


def test_hardness_does_not_matter_where_no_wood_is_cut():
    row = a_row(cuts_wood=False)
    (operation,) = minutes_for(a_joint(), 1, Method.HAND, species("oak-white"), edition(row))
    assert operation.each_min == pytest.approx(9.12)


def test_a_row_for_both_methods_serves_each():
    times = edition(a_row(method=Method.BOTH))
    assert minutes_for(a_joint(), 1, Method.HAND, None, times)
    assert minutes_for(a_joint(), 1, Method.MACHINE, None, times)


def test_a_row_for_one_method_does_not_serve_the_other():
    assert minutes_for(a_joint(), 1, Method.MACHINE, None, edition(a_row())) == ()


def test_operations_come_in_working_order_whatever_the_order_of_rows():
    times = edition(a_row(operation="late", order=90), a_row(operation="early", order=10))
    codes = [operation.code for operation in minutes_for(a_joint(), 1, Method.HAND, None, times)]
    assert codes == ["early", "late"]


def test_an_operation_this_joint_has_no_use_for_is_left_out():
    through = studied("housing", section(200, 18), section(200, 18))
    stopped = studied("housing", section(200, 18), section(200, 18), stop_mm=10)
    assert "notch-shelf" not in [one.code for one in minutes_for(through, 1, Method.HAND)]
    assert "notch-shelf" in [one.code for one in minutes_for(stopped, 1, Method.HAND)]


@given(count=st.integers(1, 500), more=st.integers(1, 500))
def test_more_joints_never_take_less_time_and_share_one_setup(count, more):
    few = minutes_for(a_joint(), count, Method.MACHINE)
    many = minutes_for(a_joint(), count + more, Method.MACHINE)
    for one, other in zip(few, many, strict=True):
        assert other.total_min > one.total_min
        assert other.setup_min == one.setup_min


def test_longer_tenon_never_takes_less_time():
    short = studied("mortise-tenon", STILE, RAIL, tenon_length_mm=20)
    long = studied("mortise-tenon", STILE, RAIL, tenon_length_mm=40)
    for method in (Method.HAND, Method.MACHINE):
        assert total(minutes_for(long, 1, method)) > total(minutes_for(short, 1, method))


def test_starting_times_are_invented_and_say_so():
    assert {row.source for row in starting_times().rows} == {"invented for the demo"}


def test_every_order_operation_can_be_timed_from_the_usual_measures():
    measures = {"parts": 12, "area_m2": 3.5, "assemblies": 1}
    for method in (Method.HAND, Method.MACHINE):
        for step in extra_operations(method):
            assert minutes_for_extra(step.code, measures, method).total_min > 0


def test_planing_takes_time_by_area():
    """10 + 2 x 5 min."""
    planed = minutes_for_extra("plane-up", {"area_m2": 2}, Method.MACHINE)
    assert planed.total_min == pytest.approx(20)


def test_nothing_to_plane_takes_no_time():
    assert minutes_for_extra("plane-up", {"area_m2": 0}, Method.MACHINE).total_min == 0


def test_unknown_order_operation_is_refused_with_the_known_ones():
    with pytest.raises(RuleBroken, match="plane-up") as refused:
        minutes_for_extra("gild", {}, Method.HAND)
    assert refused.value.field == "operation"


def test_missing_measure_is_refused_by_name():
    with pytest.raises(RuleBroken) as refused:
        minutes_for_extra("sand", {"parts": 3}, Method.HAND)
    assert refused.value.field == "area_m2"


def total(operations) -> float:
    return sum(operation.total_min for operation in operations)
