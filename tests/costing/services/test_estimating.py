"""A commission of rows becomes a price, and everything in it is accounted for."""

from datetime import date
from decimal import Decimal

import pytest

from costing.models import Glue, RateEdition
from costing.services.estimating import basis_for, estimate_for, joint_label, priced
from orders.core.errors import NotReady
from orders.core.times import Method
from orders.services.breakdown import breakdown
from orders.services.standards import current_times
from tests.builders import (
    a_commission,
    a_joint,
    a_part,
    a_shop_that_can_price,
    an_assembly,
    extra_work,
    rates_for,
)

pytestmark = pytest.mark.django_db
TODAY = date(2026, 3, 2)


@pytest.fixture
def workshop():
    return a_shop_that_can_price()


@pytest.fixture
def commission(workshop):
    """Two benches of a frame each, with a joint counted four times, and sanding."""
    commission = a_commission(workshop)
    bench = an_assembly(commission, name="Bench", quantity=2)
    frame = an_assembly(commission, name="Frame", parent=bench, quantity=3)
    a_part(bench, name="seat", thickness_mm=Decimal(30), width_mm=Decimal(300))
    a_joint(frame, count=4, method=Method.MACHINE)
    extra_work(bench)
    return commission


def test_minutes_of_the_estimate_are_those_of_the_breakdown(commission, workshop):
    broken_down = breakdown(commission, current_times(workshop, TODAY))

    estimate = estimate_for(commission, TODAY)

    assert estimate.hours.mean * 60 == pytest.approx(broken_down.minutes, rel=1e-6)


def test_timber_is_bought_for_every_piece(commission, workshop):
    broken_down = breakdown(commission, current_times(workshop, TODAY))
    net_m3 = sum(
        part.total * part.length_mm * part.width_mm * part.thickness_mm / 1e9
        for assembly in broken_down.assemblies
        for part in assembly.parts
    )

    estimate = estimate_for(commission, TODAY)

    assert sum(need.net_m3 for need in estimate.timber) == pytest.approx(net_m3)


def test_glue_is_spread_on_every_joint(commission, workshop):
    joint = breakdown(commission, current_times(workshop, TODAY)).assemblies[1].joints[0]
    grams = 2 * 3 * 4 * joint.glue_area_mm2 / 1e6 * 160

    line = estimate_for(commission, TODAY).line("glue")

    assert line.exact == pytest.approx(Decimal(grams) * 9 / 1000, rel=Decimal("1e-6"))


def test_bench_work_of_a_machine_method_needs_no_machine_rate(commission):
    estimate = estimate_for(commission, TODAY)

    machine_keys = [line.key for line in estimate.line("machine").leaves()]
    assert not [key for key in machine_keys if key.endswith("-fit")]
    assert machine_keys


def test_a_joint_is_named_by_mark_type_and_parts(commission, workshop):
    joint = breakdown(commission, current_times(workshop, TODAY)).assemblies[1].joints[0]

    assert joint_label(joint) == (
        f"{joint.mark} Mortise and tenon, {joint.mark_a} to {joint.mark_b}"
    )


def test_an_inner_assembly_is_quoted_with_its_top_assembly(commission):
    bench, frame = commission.assemblies.order_by("pk")

    assert basis_for(commission, TODAY).roots == {
        str(bench.pk): str(bench.pk),
        str(frame.pk): str(bench.pk),
    }


def test_the_glue_follows_the_exposure(workshop):
    commission = a_commission(workshop, exposure="weather-exterior")
    a_joint(an_assembly(commission))

    assert basis_for(commission, TODAY).glue_statement == "Glue D4, durability class D4 of EN 204"


def test_nothing_glued_states_no_glue(workshop):
    commission = a_commission(workshop)
    a_part(an_assembly(commission))

    assert basis_for(commission, TODAY).glue_statement == ""


def test_rates_of_the_day_are_taken(commission, workshop):
    rates_for(workshop, valid_from=date(2026, 6, 1), overhead_rate=Decimal(50))

    before, after = estimate_for(commission, TODAY), estimate_for(commission, date(2026, 7, 1))

    assert (before.rates_edition, after.rates_edition) == (1, 2)
    assert after.net > before.net


def test_without_rates_the_sentence_says_what_to_make(commission, workshop):
    RateEdition.objects.of(workshop).delete()

    with pytest.raises(NotReady, match="rate book has no edition"):
        estimate_for(commission, TODAY)


def test_without_a_good_glue_the_sentence_says_which(commission, workshop):
    Glue.objects.of(workshop).delete()

    with pytest.raises(NotReady, match="No glue in the rack is of class D1"):
        estimate_for(commission, TODAY)


def test_without_the_species_the_sentence_names_the_part(commission):
    part = a_part(commission.assemblies.first(), species="teak", name="arm")

    with pytest.raises(NotReady, match=rf"no teak in the rack, and {part.mark} arm"):
        estimate_for(commission, TODAY)


def test_queries_do_not_grow_with_the_order(commission, django_assert_max_num_queries):
    for _ in range(5):
        a_joint(an_assembly(commission))

    with django_assert_max_num_queries(18):
        priced(basis_for(commission, TODAY))
