"""Cutting plans: always cuttable by an independent checker, never below their bound."""

import random
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from costing.core.cutting import (
    CutPart,
    CuttingJob,
    CuttingRules,
    Grain,
    StockKind,
    StockPiece,
    plan_cutting,
)
from costing.core.cutting_check import check_cutting
from costing.core.cutting_fill import best_fill
from orders.core.errors import RulesBroken


def a_part(key="rail", **changes):
    plain = {
        "key": key,
        "label": key,
        "species": "oak",
        "length_mm": 600.0,
        "width_mm": 60.0,
        "thickness_mm": 40.0,
        "quantity": 1,
    }
    return CutPart(**(plain | changes))


def a_bar(key="bar", **changes):
    plain = {
        "key": key,
        "kind": StockKind.BAR,
        "species": "oak",
        "length_mm": 2400.0,
        "width_mm": 60.0,
        "thickness_mm": 40.0,
    }
    return StockPiece(**(plain | changes))


def a_board(key="board", **changes):
    return a_bar(key, **({"kind": StockKind.BOARD, "width_mm": 200.0} | changes))


def a_job(parts, stock, **rules):
    return CuttingJob(parts=tuple(parts), stock=tuple(stock), rules=CuttingRules(**rules))


def pieces(plan):
    return sum(pattern.copies for pattern in plan.patterns)


@pytest.mark.parametrize(("remainder", "bars"), [("0", 1), ("1.2", 1), ("2.2", 1), ("3.2", 1)])
def test_a_rest_smaller_than_the_kerf_is_a_legal_last_cut(remainder, bars):
    """Four parts need three kerfs, and a fourth only where a whole kerf is left."""
    length = 4 * 600 + 3 * 3.2 + float(remainder)
    job = a_job([a_part(quantity=4)], [a_bar(length_mm=length)], kerf_cross_mm=3.2)
    plan = plan_cutting(job)
    assert pieces(plan) == bars
    assert check_cutting(plan, job) == ()


def test_a_thousandth_too_short_takes_another_bar():
    job = a_job([a_part(quantity=4)], [a_bar(length_mm=2409.599)], kerf_cross_mm=3.2)
    assert pieces(plan_cutting(job)) == 2


def test_trims_are_lost_at_both_ends():
    parts = [a_part(length_mm=2380.0)]
    assert plan_cutting(a_job(parts, [a_bar()], end_trim_mm=10)).unplaced == ()
    (gone,) = plan_cutting(a_job(parts, [a_bar()], end_trim_mm=10.001)).unplaced
    assert gone.reason == (
        "rail is 2380 mm long and the longest stock 2400 mm, trims included; add longer stock."
    )


def test_the_cheapest_of_several_bars_is_taken():
    stock = [
        a_bar("long", length_mm=4800.0, price=Decimal("10.00")),
        a_bar("short", length_mm=2400.0, price=Decimal("4.50")),
    ]
    plan = plan_cutting(a_job([a_part(length_mm=1150.0, quantity=4)], stock))
    assert {pattern.stock for pattern in plan.patterns} == {"short"}
    assert (plan.objective, plan.cost) == ("price", Decimal("9.00"))


def test_zero_waste_bars_are_found():
    """Bars of 2.4 m cut at random without loss but kerf: as many bars are enough."""
    source = random.Random(5)
    lengths = []
    for _ in range(8):
        left = 2400
        while left > 900:
            length = source.randrange(200, 800)
            lengths.append(length)
            left -= length + 3
        lengths.append(left)
    parts = [a_part(f"p{place}", length_mm=float(size)) for place, size in enumerate(lengths)]
    job = a_job(parts, [a_bar()], kerf_cross_mm=3.0)
    plan = plan_cutting(job)
    assert check_cutting(plan, job) == ()
    assert pieces(plan) == plan.lower_bound / Decimal("0.144") == 8


def test_long_pieces_that_cannot_share_are_in_the_bound():
    job = a_job([a_part(length_mm=1300.0, quantity=7)], [a_bar()])
    plan = plan_cutting(job)
    assert plan.cost == plan.lower_bound
    assert pieces(plan) == 7


def test_ten_thousand_alike_are_planned_as_one_pattern():
    job = a_job([a_part(quantity=10_000)], [a_bar()])
    plan = plan_cutting(job)
    assert check_cutting(plan, job) == ()
    assert [pattern.copies for pattern in plan.patterns] == [3333, 1]


def test_a_part_keeps_its_grain_and_a_square_one_too():
    wide = a_part(length_mm=180.0, width_mm=600.0, grain=Grain.LENGTH)
    (gone,) = plan_cutting(a_job([wide], [a_board()])).unplaced
    assert "glue it up from narrower parts" in gone.reason
    turned = plan_cutting(a_job([replace(wide, grain=Grain.WIDTH)], [a_board()]))
    assert turned.patterns[0].strips[0].parts[0].is_turned
    assert plan_cutting(a_job([replace(wide, grain=Grain.ANY)], [a_board()])).unplaced == ()


def test_what_cannot_be_cut_is_listed_with_its_reason():
    parts = [
        a_part("species", species="elm"),
        a_part("thickness", thickness_mm=41.0),
        a_part("fits", quantity=3),
        a_part("plenty", length_mm=2000.0, quantity=5),
    ]
    job = a_job(parts, [a_bar(quantity=2)])
    plan = plan_cutting(job)
    reasons = {gone.part: gone.reason for gone in plan.unplaced}
    assert reasons["species"] == "There is no elm to cut species from; add some."
    assert "There is no oak of 41 mm" in reasons["thickness"]
    assert "ran out before" in reasons["plenty"]
    assert check_cutting(plan, job) == ()


def test_every_fault_of_a_job_is_named():
    job = CuttingJob(
        parts=(a_part(length_mm=float("nan")), a_part(quantity=-1)),
        stock=(a_bar(price=Decimal(-1)),),
        rules=CuttingRules(kerf_cross_mm=-1),
    )
    with pytest.raises(RulesBroken) as caught:
        plan_cutting(job)
    assert {error.field for error in caught.value.errors} == {
        "parts",
        "parts/0/length_mm",
        "parts/1/quantity",
        "stock/0/price",
        "rules/kerf_cross_mm",
    }


def test_nothing_to_cut_needs_no_stock():
    plan = plan_cutting(a_job([], []))
    assert (plan.cost, plan.lower_bound, plan.gap, plan.gross_yield) == (0, 0, 0, 0)


def test_the_same_seed_gives_the_same_plan():
    parts = [a_part(f"p{n}", length_mm=300.0 + 37 * n, width_mm=40.0 + 7 * n) for n in range(12)]
    job = a_job(parts, [a_board()], seed=4, effort=40)
    assert plan_cutting(job) == plan_cutting(job)


SIZES = st.one_of(st.integers(20, 2600).map(float), st.floats(0.5, 2600))
PARTS = st.lists(
    st.builds(
        lambda **fields: fields,
        length_mm=SIZES,
        width_mm=st.one_of(st.just(60.0), st.floats(5, 400)),
        thickness_mm=st.sampled_from([40.0, 40.0, 27.0]),
        species=st.sampled_from(["oak", "oak", "ash"]),
        quantity=st.integers(0, 9),
        grain=st.sampled_from(Grain),
    ),
    max_size=8,
)
STOCK = st.lists(
    st.builds(
        lambda **fields: fields,
        kind=st.sampled_from(StockKind),
        length_mm=SIZES,
        width_mm=st.one_of(st.just(60.0), st.floats(20, 1220)),
        quantity=st.one_of(st.none(), st.integers(0, 5)),
        price=st.one_of(st.none(), st.decimals(min_value=0, max_value=90, places=2)),
        species=st.sampled_from(["oak", "oak", "ash"]),
    ),
    max_size=5,
)
JOBS = st.builds(
    lambda parts, stock, rules: CuttingJob(
        parts=tuple(a_part(f"p{place}", **fields) for place, fields in enumerate(parts)),
        stock=tuple(a_bar(f"s{place}", **fields) for place, fields in enumerate(stock)),
        rules=rules,
    ),
    PARTS,
    STOCK,
    st.builds(
        CuttingRules,
        kerf_cross_mm=st.floats(0, 6),
        kerf_rip_mm=st.floats(0, 6),
        end_trim_mm=st.floats(0, 40),
        edge_trim_mm=st.floats(0, 12),
        effort=st.just(8),
    ),
)


@settings(max_examples=200)
@given(JOBS)
def test_every_plan_can_be_cut(job):
    plan = plan_cutting(job)
    assert check_cutting(plan, job) == ()


@settings(max_examples=60)
@given(JOBS, st.integers(0, 7))
def test_one_more_part_never_lowers_the_bound(job, place):
    job = replace(job, stock=tuple(replace(stock, quantity=None) for stock in job.stock))
    if not job.parts:
        return
    place %= len(job.parts)
    more = list(job.parts)
    more[place] = replace(more[place], quantity=more[place].quantity + 1)
    before = plan_cutting(job).lower_bound
    assert plan_cutting(replace(job, parts=tuple(more))).lower_bound >= before


@given(
    st.integers(1, 5000),
    st.lists(st.tuples(st.integers(1, 900), st.integers(0, 4)), min_size=1, max_size=6),
)
def test_the_fill_is_the_best_there_is(capacity, goods):
    sizes, counts = zip(*goods, strict=True)
    taken = best_fill(capacity, sizes, counts)
    reachable = {0}
    for size, count in goods:
        reachable |= {total + size * n for total in reachable for n in range(count + 1)}
    assert all(0 <= n <= count for n, count in zip(taken, counts, strict=True))
    assert sum(n * size for n, size in zip(taken, sizes, strict=True)) == max(
        total for total in reachable if total <= capacity
    )
