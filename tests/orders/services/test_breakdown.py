"""The breakdown of a commission as values."""

import pytest

from orders.core.errors import NotReady
from orders.core.exposure import DurabilityClass
from orders.core.times import starting_times
from orders.services.assemblies import add_assembly
from orders.services.breakdown import breakdown
from orders.services.extras import add_extra
from tests.builders import a_part
from tests.orders.services.making import a_frame, a_rail, a_stile, a_tenon, an_enquiry

pytestmark = pytest.mark.django_db


def test_totals_are_products_up_the_tree():
    commission = an_enquiry()
    case = add_assembly(commission, name="Case", quantity=3)
    drawer = add_assembly(commission, name="Drawer", quantity=4, parent=case)
    a_rail(drawer, quantity=2)
    lines = breakdown(commission, starting_times())
    assert [(line.place, line.name, line.depth, line.total) for line in lines.assemblies] == [
        ("1", "Case", 0, 3),
        ("1.1", "Drawer", 1, 12),
    ]
    assert lines.assemblies[1].parts[0].total == 24
    assert lines.piece_count == 24


def test_joints_are_studied_and_timed_for_all_of_them():
    commission = an_enquiry()
    a_frame(commission, quantity=2)
    joint = breakdown(commission, starting_times()).assemblies[0].joints[0]
    assert (joint.mark, joint.mark_a, joint.mark_b, joint.count, joint.total) == (
        "J1",
        "P1",
        "P2",
        4,
        8,
    )
    assert joint.glue_area_mm2 == pytest.approx(joint.study.glue.total_mm2)
    assert {operation.count for operation in joint.operations} == {8}
    assert joint.operations[0].code == "mark-out"
    assert all(operation.each_min > 0 for operation in joint.operations)


def test_the_harder_of_two_woods_sets_the_pace():
    commission = an_enquiry()
    frame = add_assembly(commission, name="Frame")
    stile = a_stile(frame, species="pine-eastern-white")
    a_tenon(frame, part_a=stile, part_b=a_rail(frame, species="oak-white"))
    assert breakdown(commission, starting_times()).assemblies[0].joints[0].species == "oak-white"


def test_extras_take_the_standard_time_by_the_surface_of_the_parts():
    commission = an_enquiry()
    frame = add_assembly(commission, name="Frame", quantity=2)
    a_rail(frame, quantity=2, length_mm=1000, width_mm=100, thickness_mm=20)
    add_extra(frame, operation="plane-up")
    extra = breakdown(commission, starting_times()).assemblies[0].extras[0]
    surface_m2 = 2 * 2 * (1.0 * 0.1 + 1.0 * 0.02 + 0.1 * 0.02)
    assert extra.timed.driver_value == pytest.approx(surface_m2)
    assert extra.name == "Plane up"
    assert extra.timed.count == 2
    assert extra.timed.total_min > extra.timed.setup_min


def test_own_minutes_of_an_extra_replace_the_standard_time():
    commission = an_enquiry()
    frame = add_assembly(commission, name="Frame", quantity=2)
    add_extra(frame, operation="fit-hardware", name="Hang the door", minutes=12.5, count=3)
    extra = breakdown(commission, starting_times()).assemblies[0].extras[0]
    assert (extra.name, extra.has_own_minutes) == ("Hang the door", True)
    assert extra.timed.total_min == pytest.approx(2 * 3 * 12.5)


def test_the_minutes_of_the_whole_are_those_of_its_operations():
    commission = an_enquiry()
    a_frame(commission)
    lines = breakdown(commission, starting_times())
    operations = lines.assemblies[0].operations
    assert lines.minutes == pytest.approx(sum(each.total_min for each in operations))
    assert lines.minutes > 60


def test_the_exposure_gives_the_glue_class():
    commission = an_enquiry(exposure="weather-exterior")
    assert breakdown(commission, starting_times()).glue_class is DurabilityClass.D4


def test_a_part_of_unknown_timber_is_named():
    commission = an_enquiry()
    frame = add_assembly(commission, name="Frame")
    a_part(frame, mark="P7", name="panel", species="moonwood")
    with pytest.raises(NotReady, match=r"Frame, P7 panel: There is no species 'moonwood'"):
        breakdown(commission, starting_times())


@pytest.mark.parametrize("frames", [1, 12])
def test_queries_do_not_grow_with_the_commission(frames, django_assert_num_queries):
    commission = an_enquiry()
    for _ in range(frames):
        a_frame(commission)
    with django_assert_num_queries(4):
        lines = breakdown(commission, starting_times())
    assert lines.joint_count == 4 * frames
