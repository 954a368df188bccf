"""What is read for a job sheet."""

import pytest

from costing.models import Glue
from costing.services.job_sheets import job_sheets
from orders.core.errors import NotReady
from orders.models import Joint, Operation
from tests.builders import a_joint, a_part, an_assembly
from tests.costing.documents.samples import ON, a_bench, address, released

pytestmark = pytest.mark.django_db


def test_there_is_one_for_each_assembly_in_the_order_of_the_tree():
    sheets = job_sheets(a_bench(), ON, address)
    assert [(sheet.place, sheet.assembly, sheet.within) for sheet in sheets] == [
        ("1", "Hall bench", ""),
        ("1.1", "Seat frame", "Hall bench"),
    ]
    assert [(sheet.number, sheet.of, sheet.total) for sheet in sheets] == [(1, 2, 1), (2, 2, 2)]


def test_one_assembly_keeps_its_number_among_all():
    bench = a_bench()
    (sheet,) = job_sheets(bench, ON, address, assembly=bench.assemblies.get(name="Seat frame").pk)
    assert (sheet.number, sheet.of) == (2, 2)


def test_before_the_release_the_operations_are_those_it_would_write():
    bench = a_bench()
    before = [
        (operation.name, operation.pieces, round(operation.minutes, 6))
        for sheet in job_sheets(bench, ON, address)
        for operation in sheet.operations
    ]
    after = [
        (operation.name, operation.pieces, round(operation.minutes, 6))
        for sheet in job_sheets(released(bench), ON, address)
        for operation in sheet.operations
    ]
    assert before == after
    assert before


def test_operations_carry_the_address_of_their_clock_page_once_released():
    bench = a_bench()
    assert not any(o.address for s in job_sheets(bench, ON, address) for o in s.operations)
    released(bench)
    found = {o.mark: o.address for s in job_sheets(bench, ON, address) for o in s.operations}
    assert found == {row.mark: address(row.pk) for row in bench.operations.all()}


def test_what_was_dropped_is_gone_and_what_is_done_is_marked():
    bench = released(a_bench())
    first, second, *_ = bench.operations.order_by("number")
    Operation.objects.filter(pk=first.pk).update(state=Operation.State.DROPPED)
    Operation.objects.filter(pk=second.pk).update(state=Operation.State.DONE)
    found = {o.mark: o for s in job_sheets(bench, ON, address) for o in s.operations}
    assert first.mark not in found
    assert found[second.mark].is_done


def test_the_glue_is_the_lowest_class_that_will_do_and_the_cheapest_of_it():
    bench = a_bench()
    bench.exposure = "weather-exterior"
    bench.save()
    Glue.objects.filter(durability_class="D4").update(price_per_kg=20)
    Glue.objects.create(
        workshop=bench.workshop,
        name="Garden glue",
        kind="pur",
        durability_class="D4",
        open_min=5,
        clamp_min=90,
        spread_g_per_m2=200,
        price_per_kg=19,
    )
    glue = job_sheets(bench, ON, address)[1].glue
    assert (glue.name, glue.open_min, glue.clamp_min) == ("Garden glue", 5, 90)


def test_a_joint_that_cannot_be_made_is_told():
    bench = a_bench()
    Joint.objects.filter(mark="J1").update(dimensions={"tenon_length_mm": 900})
    with pytest.raises(NotReady, match="J1"):
        job_sheets(bench, ON, address)


@pytest.mark.parametrize("frames", [1, 6])
@pytest.mark.parametrize("is_released", [True, False])
def test_queries_do_not_grow_with_the_commission(frames, is_released, django_assert_num_queries):
    bench = a_bench()
    for number in range(frames):
        frame = an_assembly(bench, name=f"Frame {number}")
        a_joint(frame, part_a=a_part(frame, mark="P1"), part_b=a_part(frame, mark="P2"))
    if is_released:
        released(bench)
    job_sheets(bench, ON, address)  # standard times are read once
    with django_assert_num_queries(7):
        job_sheets(bench, ON, address)
