"""The checker finds every kind of fault in a plan."""

import random
from dataclasses import replace
from decimal import Decimal

import pytest

from costing.core.cutting import Grain, StockKind, plan_cutting
from costing.core.cutting_check import check_cutting
from tests.costing.core.test_cutting import a_bar, a_board, a_job, a_part


def a_plan(seed=1):
    source = random.Random(seed)
    parts = [
        a_part(
            f"p{place}",
            length_mm=float(source.randrange(200, 900)),
            width_mm=float(source.randrange(40, 190)),
            quantity=source.randrange(1, 4),
        )
        for place in range(8)
    ]
    job = a_job(parts, [a_board(quantity=60)], end_trim_mm=12, edge_trim_mm=5, effort=10)
    return job, plan_cutting(job)


def with_pattern(plan, place, **changes):
    patterns = list(plan.patterns)
    patterns[place] = replace(patterns[place], **changes)
    return replace(plan, patterns=tuple(patterns))


def with_placed(plan, place, strip_place, part_place, **changes):
    strips = list(plan.patterns[place].strips)
    parts = list(strips[strip_place].parts)
    parts[part_place] = replace(parts[part_place], **changes)
    strips[strip_place] = replace(strips[strip_place], parts=tuple(parts))
    return with_pattern(plan, place, strips=tuple(strips))


def a_spot(plan, source, *, with_neighbour=False):
    spots = [
        (place, strip_place, part_place)
        for place, pattern in enumerate(plan.patterns)
        for strip_place, strip in enumerate(pattern.strips)
        for part_place in range(int(with_neighbour), len(strip.parts))
    ]
    place, strip_place, part_place = source.choice(spots)
    return (place, strip_place, part_place), plan.patterns[place].strips[strip_place].parts[
        part_place
    ]


def moved_along(plan, source):
    spot, placed = a_spot(plan, source, with_neighbour=True)
    return with_placed(plan, *spot, x_um=placed.x_um - 1)


def lost_the_kerf(plan, source):
    spot, placed = a_spot(plan, source, with_neighbour=True)
    return with_placed(plan, *spot, x_um=placed.x_um - 3200)


def moved_into_the_trim(plan, source):
    place = source.randrange(len(plan.patterns))
    return with_placed(plan, place, 0, 0, x_um=11_999)


def moved_past_the_end(plan, source):
    spot, _ = a_spot(plan, source)
    return with_placed(plan, *spot, x_um=2_388_000)


def moved_across(plan, source):
    spot, placed = a_spot(plan, source)
    return with_placed(plan, *spot, y_um=placed.y_um - 1)


def turned(plan, source):
    spot, placed = a_spot(plan, source)
    return with_placed(
        plan, *spot, is_turned=True, length_um=placed.width_um, width_um=placed.length_um
    )


def cut_short(plan, source):
    spot, placed = a_spot(plan, source)
    return with_placed(plan, *spot, length_um=placed.length_um - 1)


def one_too_many(plan, source):
    place = source.randrange(len(plan.patterns))
    return with_pattern(plan, place, copies=plan.patterns[place].copies + 1)


def one_forgotten(plan, source):
    place = source.randrange(len(plan.patterns))
    strips = plan.patterns[place].strips
    first = replace(strips[0], parts=strips[0].parts[1:])
    return with_pattern(plan, place, strips=(first, *strips[1:]))


def another_part_in_its_place(plan, source):
    spot, placed = a_spot(plan, source)
    return with_placed(plan, *spot, part="p0" if placed.part != "p0" else "p1")


def a_strip_over_the_edge(plan, source):
    place = source.randrange(len(plan.patterns))
    strips = plan.patterns[place].strips
    return with_pattern(plan, place, strips=(*strips[:-1], replace(strips[-1], width_um=195_000)))


def stock_from_nowhere(plan, source):
    return with_pattern(plan, source.randrange(len(plan.patterns)), stock="elsewhere")


def a_cheaper_total(plan, source):
    return replace(plan, cost=plan.cost - Decimal("0.01"))


def a_bound_too_high(plan, source):
    return replace(plan, lower_bound=plan.cost + Decimal("0.01"))


MUTATIONS = [
    moved_along,
    lost_the_kerf,
    moved_into_the_trim,
    moved_past_the_end,
    moved_across,
    turned,
    cut_short,
    one_too_many,
    one_forgotten,
    another_part_in_its_place,
    a_strip_over_the_edge,
    stock_from_nowhere,
    a_cheaper_total,
    a_bound_too_high,
]


@pytest.mark.parametrize("mutation", MUTATIONS, ids=lambda mutation: mutation.__name__)
def test_every_mutation_is_caught(mutation):
    for seed in range(12):
        job, plan = a_plan(seed)
        assert check_cutting(plan, job) == ()
        assert check_cutting(mutation(plan, random.Random(seed)), job), seed


def test_opening_more_than_there_is_is_caught():
    job, plan = a_plan()
    short = replace(job, stock=(replace(job.stock[0], quantity=1),))
    assert "stock" in {fault.rule for fault in check_cutting(plan, short)}


def test_strips_closer_than_the_saw_are_caught():
    parts = [a_part("a", width_mm=90.0), a_part("b", width_mm=80.0)]
    job = a_job(parts, [a_board(length_mm=650.0)])
    plan = plan_cutting(job)
    first, second = plan.patterns[0].strips
    close = replace(
        second,
        y_um=second.y_um - 1,
        parts=tuple(replace(placed, y_um=placed.y_um - 1) for placed in second.parts),
    )
    faults = check_cutting(with_pattern(plan, 0, strips=(first, close)), job)
    assert [fault.rule for fault in faults] == ["rip kerf"]


def test_another_species_thickness_or_section_is_caught():
    job = a_job([a_part()], [a_bar()])
    plan = plan_cutting(job)
    for change, rule in (
        ({"species": "ash"}, "species"),
        ({"thickness_mm": 41.0}, "thickness"),
        ({"grain": Grain.WIDTH}, "grain"),
        ({"width_mm": 59.0}, "size"),
    ):
        other = replace(job, parts=(replace(job.parts[0], **change),))
        assert rule in {fault.rule for fault in check_cutting(plan, other)}


def test_ripping_a_bar_is_caught():
    job = a_job([a_part()], [a_board(width_mm=70.0)])
    plan = plan_cutting(job)
    as_bar = replace(job, stock=(replace(job.stock[0], kind=StockKind.BAR),))
    assert {"rip", "section"} & {fault.rule for fault in check_cutting(plan, as_bar)}
