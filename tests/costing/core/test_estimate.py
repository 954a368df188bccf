"""Estimates: published job sheets, laws, errors and speed."""

import math
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from costing.core.estimate import (
    Assembly,
    Board,
    EstimateInput,
    ExtraKind,
    ExtraLine,
    GlueArea,
    Method,
    OperationLine,
    Overhead,
    OverheadBasis,
    PartSize,
    PriceBasis,
    Pricing,
    Profit,
    ProfitBasis,
    Rack,
    RackGlue,
    RateBook,
    Sheet,
    estimate,
)
from costing.core.glue import DurabilityClass
from costing.core.money import rounded
from costing.core.stock import Allowance
from orders.core.errors import NotReady, RuleBroken, RulesBroken

PLAIN_RATES = RateBook(edition=3, currency="EUR", labour={"bench": Decimal(57)})

SHOP_RATES = RateBook(
    edition=4,
    currency="EUR",
    labour={"bench": Decimal("57.00"), "machinist": Decimal("49.50")},
    machine={"mortiser": Decimal("14.35"), "saw": Decimal("9.99")},
    overhead=Overhead(basis=OverheadBasis.LABOUR_HOUR, rate=Decimal("11.37")),
    materials_handling=Decimal("0.08"),
    contingency=Decimal("0.05"),
    profit=Profit(basis=ProfitBasis.MARGIN, share=Decimal("0.22")),
    tax_rate=Decimal(21),
)

RACK = Rack(
    boards=(
        Board(species="oak", thickness_mm=27, price_per_m3=Decimal("1850.00")),
        Board(species="oak", thickness_mm=32, price_per_m3=Decimal("1925.00"), spread=0.1),
        Board(species="oak", thickness_mm=52, price_per_m3=Decimal("2100.00")),
    ),
    sheets=(Sheet(species="birch plywood", thickness_mm=9, price_per_m2=Decimal("21.40")),),
    glues=(
        RackGlue(
            key="pvac-d2",
            label="PVAc D2",
            durability_class=DurabilityClass.D2,
            spread_g_per_m2=160,
            price_per_kg=Decimal("7.90"),
        ),
        RackGlue(
            key="pvac-d4",
            label="PVAc D4",
            durability_class=DurabilityClass.D4,
            spread_g_per_m2=160,
            price_per_kg=Decimal("14.20"),
        ),
    ),
    allowance=Allowance(length_mm=25, width_mm=6, thickness_mm=5, waste_share_of_gross=0.2),
)


def a_part(key="rail", **changes):
    plain = {
        "key": key,
        "label": key,
        "species": "oak",
        "length_mm": 640.0,
        "width_mm": 70.0,
        "thickness_mm": 27.0,
        "quantity": 2,
    }
    return PartSize(**(plain | changes))


def an_operation(key="chop", **changes):
    plain = {
        "key": key,
        "label": "Chop mortises",
        "assembly": "door",
        "joint": "M&T 1",
        "skill": "bench",
        "count": 4,
        "setup_min": 12.0,
        "each_min": 8.9,
    }
    return OperationLine(**(plain | changes))


def a_commission(**changes):
    plain = {
        "commission": "C-1",
        "currency": "EUR",
        "assemblies": (Assembly(key="door", label="Door", quantity=1),),
    }
    return EstimateInput(**(plain | changes))


def a_whole_commission():
    return a_commission(
        assemblies=(
            Assembly(
                key="door",
                label="Door",
                quantity=3,
                parts=(
                    a_part("rail"),
                    a_part("stile", length_mm=2000.0),
                    a_part("panel", species="birch plywood", thickness_mm=9.0, width_mm=400.0),
                ),
            ),
            Assembly(key="frame", label="Frame", parts=(a_part("post", thickness_mm=45.0),)),
        ),
        operations=(
            an_operation("chop"),
            an_operation("mortise", method=Method.MACHINE, station_kind="mortiser", joint="M&T 2"),
            an_operation("sand", joint="", count=1, each_min=25.0, setup_min=0.0),
            an_operation("fit", assembly="frame", skill="machinist", spread=0.5),
        ),
        glue=(
            GlueArea(key="m1", label="M&T 1", assembly="door", area_mm2=5728),
            GlueArea(
                key="m2",
                label="M&T 2",
                assembly="frame",
                area_mm2=9000,
                glue_class=DurabilityClass.D3,
            ),
        ),
        extras=(
            ExtraLine(key="hinges", label="Hinges", unit_price=Decimal("6.15"), assembly="door"),
            ExtraLine(
                key="van",
                label="Van",
                unit_price=Decimal("85"),
                kind=ExtraKind.DELIVERY,
                spread=0.2,
            ),
        ),
    )


def assert_unfolds(result):
    assert sum(line.amount for line in result.lines) == result.net
    for top in result.lines:
        for line in top.walk():
            assert line.amount == rounded(line.amount, result.currency)
            assert abs(line.amount - line.exact) < Decimal("0.01")
            if line.children:
                assert sum(child.amount for child in line.children) == line.amount


def test_the_published_dining_table():
    """Job 50: material 370, 6 h of labour at 15, overhead at 30 per labour hour, 640 in all.

    Source: Heisinger & Hoyle, Accounting for Managers, sections 2.2 and 2.3, figures 2.2 to 2.6.
    """
    rates = RateBook(
        edition=1,
        currency="USD",
        labour={"joiner": Decimal(15)},
        overhead=Overhead(rate=Decimal(1_140_000) / 38_000),
    )
    job = a_commission(
        currency="USD",
        operations=(an_operation(skill="joiner", count=1, setup_min=0, each_min=360),),
        extras=(ExtraLine(key="205", label="Requisition 205", unit_price=Decimal(370)),),
    )
    result = estimate(job, rates, Rack())
    assert {line.key: line.amount for line in result.lines} == {
        "labour": Decimal("90.00"),
        "sundries": Decimal("370.00"),
        "overhead": Decimal("180.00"),
    }
    assert result.net == result.cost == Decimal("640.00")


@pytest.mark.parametrize(
    ("material", "labour", "overhead", "price", "profit"),
    [
        (1500, 3300, 6000, 18360, 7560),
        (2800, 4500, 8600, 27030, 11130),
        (1100, 2400, 4300, 13260, 5460),
    ],
)
def test_a_markup_of_70_per_cent_is_a_margin_of_41(material, labour, overhead, price, profit):
    """Jobs 40, 44 and 45 as estimated.

    Source: Heisinger & Hoyle, Accounting for Managers, section 2.5, figure 2.10.
    """
    rates = RateBook(
        edition=1,
        currency="USD",
        labour={"joiner": Decimal(labour) / 100},
        overhead=Overhead(rate=Decimal(overhead) / 100),
        profit=Profit(basis=ProfitBasis.MARKUP, share=Decimal("0.70")),
    )
    job = a_commission(
        currency="USD",
        operations=(an_operation(skill="joiner", count=100, setup_min=0, each_min=60),),
        extras=(ExtraLine(key="timber", label="Timber", unit_price=Decimal(material)),),
    )
    result = estimate(job, rates, Rack())
    assert (result.net, result.profit) == (price, profit)
    assert (result.markup, result.margin) == (Decimal("0.7000"), Decimal("0.4118"))


def test_margin_and_markup_are_never_confused():
    job = a_commission(extras=(ExtraLine(key="x", label="X", unit_price=Decimal(100)),))
    fifth = Decimal("0.20")
    margin = estimate(job, replace(PLAIN_RATES, profit=Profit(share=fifth)), Rack())
    markup = estimate(
        job, replace(PLAIN_RATES, profit=Profit(basis=ProfitBasis.MARKUP, share=fifth)), Rack()
    )
    assert (margin.net, margin.margin, margin.markup) == (125, fifth, Decimal("0.25"))
    assert (markup.net, markup.markup) == (120, fifth)
    assert "20 % of price, which is 25 % on cost" in margin.line("profit").make_up


def test_a_labour_line_unfolds_to_minutes_at_a_rate():
    result = estimate(a_commission(operations=(an_operation(),)), PLAIN_RATES, RACK)
    leaf = result.line("labour/door/M&T 1/chop")
    assert leaf.make_up == "47.6 min (12 min set-up + 4 × 8.9 min) at 57.00 per h"
    assert leaf.amount == Decimal("45.22")
    assert result.hours.mean == pytest.approx(47.6 / 60)


def test_a_part_unfolds_to_its_rough_size_its_stock_and_its_waste():
    job = a_commission(assemblies=(Assembly(key="door", label="Door", parts=(a_part(),)),))
    result = estimate(job, PLAIN_RATES, RACK)
    part = result.line("timber/door/rail")
    rough_m3 = 665 * 76 * 32 * 2 / 1e9
    assert part.make_up.startswith("2 x 665 x 76 x 32 mm sawn, from 32 mm oak: ")
    assert part.amount == rounded(Decimal(rough_m3 / 0.8) * 1925, "EUR")
    assert [child.label for child in part.children] == [
        "Finished size",
        "Allowances and planing",
        "Waste of conversion",
    ]
    assert part.children[2].exact / part.exact == pytest.approx(Decimal("0.2"), abs=Decimal("1e-5"))
    assert result.timber[0].gross_m3 == pytest.approx(rough_m3 / 0.8)


def test_sheet_is_priced_by_area_at_its_own_thickness():
    panel = a_part("panel", species="birch plywood", thickness_mm=9.0, quantity=1)
    job = a_commission(assemblies=(Assembly(key="door", label="Door", parts=(panel,)),))
    result = estimate(job, PLAIN_RATES, RACK)
    gross_m2 = 0.665 * 0.076 / 0.8
    assert result.net == rounded(Decimal(gross_m2) * Decimal("21.40"), "EUR")
    assert result.timber[0].sheet_m2 == pytest.approx(gross_m2)


def test_the_glue_is_the_lowest_class_that_will_do():
    result = estimate(a_whole_commission(), SHOP_RATES, RACK)
    assert "PVAc D2 (D2)" in result.line("glue/door/m1").make_up
    assert "PVAc D4 (D4)" in result.line("glue/frame/m2").make_up


def test_a_set_up_is_paid_once_for_the_whole_batch():
    one = a_commission(operations=(an_operation(),))
    five = replace(one, assemblies=(Assembly(key="door", label="Door", quantity=5),))
    assert estimate(one, PLAIN_RATES, RACK).hours.mean == pytest.approx(47.6 / 60)
    assert estimate(five, PLAIN_RATES, RACK).hours.mean == pytest.approx((12 + 20 * 8.9) / 60)


def test_learning_makes_a_batch_cheaper_than_its_pieces():
    plain = a_commission(operations=(an_operation(count=20),))
    learnt = a_commission(operations=(an_operation(count=20, learning_slope=0.9),))
    assert estimate(learnt, PLAIN_RATES, RACK).net < estimate(plain, PLAIN_RATES, RACK).net


def test_every_figure_of_a_whole_commission_unfolds_exactly():
    result = estimate(a_whole_commission(), SHOP_RATES, RACK)
    assert_unfolds(result)
    assert result.gross == result.net + result.tax
    assert [line.key for line in result.lines] == [
        "labour",
        "machine",
        "timber",
        "glue",
        "sundries",
        "delivery",
        "handling",
        "overhead",
        "contingency",
        "profit",
    ]


def test_assemblies_share_out_cost_and_price_without_losing_a_cent():
    result = estimate(a_whole_commission(), SHOP_RATES, RACK)
    assert sum(share.cost for share in result.assemblies) == result.cost
    assert sum(share.price for share in result.assemblies) == result.net
    assert sum(share.variance_share for share in result.assemblies) == pytest.approx(1)
    assert [share.label for share in result.assemblies] == ["Door", "Frame", "Whole commission"]


def test_a_price_may_be_rounded_and_the_rounding_is_a_line():
    result = estimate(a_whole_commission(), replace(SHOP_RATES, rounding=Decimal(5)), RACK)
    assert result.net % 5 == 0
    assert_unfolds(result)


@pytest.mark.parametrize("basis", OverheadBasis)
def test_overhead_on_each_basis(basis):
    rates = replace(SHOP_RATES, overhead=Overhead(basis=basis, rate=Decimal("0.5")))
    result = estimate(a_whole_commission(), rates, RACK)
    if basis is OverheadBasis.LABOUR_COST:
        expected = result.line("labour").amount / 2
    else:
        door = 12 + 12 * 8.9
        hours = {
            OverheadBasis.LABOUR_HOUR: (2 * door + 75 + 47.6) / 60,
            OverheadBasis.DEPARTMENT: (2 * door + 75 + 47.6) / 60,
            OverheadBasis.MACHINE_HOUR: door / 60,
        }[basis]
        expected = Decimal(hours) / 2
    assert result.line("overhead").amount == rounded(expected, "EUR")


def test_overhead_by_department_unfolds_to_the_hours_of_each():
    """Own arithmetic: 2 h at the bench bear 10 each, half an hour of machining 25."""
    job = EstimateInput(
        commission="1",
        currency="EUR",
        assemblies=(Assembly(key="door", label="Door"),),
        operations=(
            an_operation("chop", count=1, setup_min=0.0, each_min=120.0),
            an_operation("saw", count=1, setup_min=0.0, each_min=30.0, skill="machinist"),
        ),
    )
    overhead = Overhead(
        basis=OverheadBasis.DEPARTMENT,
        rate=Decimal(10),
        departments={"machinist": Decimal(25)},
    )

    result = estimate(job, replace(SHOP_RATES, overhead=overhead), Rack())

    line = result.line("overhead")
    assert [str(child.amount) for child in line.children] == ["20.00", "12.50"]
    assert str(line.amount) == "32.50"
    assert_unfolds(result)


def test_outwork_and_delivery_are_handled_at_their_own_share():
    extras = (
        ExtraLine(key="glass", label="Glass", unit_price=Decimal(200), kind=ExtraKind.OUTWORK),
        ExtraLine(key="van", label="Van", unit_price=Decimal(80), kind=ExtraKind.DELIVERY),
        ExtraLine(key="oil", label="Oil", unit_price=Decimal(10), kind=ExtraKind.FINISH),
    )
    job = EstimateInput(commission="1", currency="EUR", extras=extras)
    rates = replace(
        PLAIN_RATES,
        materials_handling=Decimal("0.1"),
        outwork_handling=Decimal("0.05"),
        delivery_handling=Decimal("0.25"),
    )

    result = estimate(job, rates, Rack())

    assert str(result.line("handling").amount) == "1.00"
    assert str(result.line("handling-outwork").amount) == "10.00"
    assert str(result.line("handling-delivery").amount) == "20.00"
    assert result.cost == 321


def test_hours_are_a_lognormal_of_the_same_mean_and_variance():
    """Two lines of known spread and a common effect, by hand."""
    operations = tuple(
        an_operation(key, setup_min=0.0, count=1, each_min=minutes, spread=spread)
        for key, minutes, spread in (("a", 60.0, 0.3), ("b", 120.0, 0.2))
    )
    result = estimate(a_commission(operations=operations, order_spread=0.1), PLAIN_RATES, RACK)
    alone = math.expm1(0.09) + 4 * math.expm1(0.04)
    variance = math.exp(0.01) * (alone + 9) - 9
    sigma = math.sqrt(math.log1p(variance / 9))
    assert result.hours.mean == pytest.approx(3)
    assert result.hours.sd == pytest.approx(math.sqrt(variance))
    assert result.hours.p50 == pytest.approx(3 * math.exp(-(sigma**2) / 2))
    assert result.hours.p80 == pytest.approx(result.hours.p50 * math.exp(0.841621 * sigma))
    assert result.hours.p90 == pytest.approx(result.hours.p50 * math.exp(1.281552 * sigma))


def test_what_does_not_vary_is_the_floor_of_the_cost():
    result = estimate(a_whole_commission(), SHOP_RATES, RACK)
    cost = result.expected_cost
    assert cost.mean == pytest.approx(float(result.cost))
    assert 0 < cost.floor < cost.p50 < cost.mean < cost.p80 < cost.p90
    assert cost.at(0.8) == pytest.approx(cost.p80)
    assert result.chance_of_loss_at(Decimal(repr(cost.p80))) == pytest.approx(0.2, abs=1e-6)
    assert result.chance_of_loss < 0.2
    assert result.chance_of_loss_at(Decimal(0)) == 1


def test_the_most_uncertain_operation_is_named_first():
    result = estimate(a_whole_commission(), SHOP_RATES, RACK)
    shares = [risk.variance_share for risk in result.risks]
    assert shares == sorted(shares, reverse=True)
    assert sum(shares) == pytest.approx(1)


def test_a_missing_rate_is_named_with_its_edition():
    job = a_commission(operations=(an_operation(skill="carver"),))
    with pytest.raises(NotReady) as caught:
        estimate(job, PLAIN_RATES, RACK)
    assert str(caught.value) == (
        "There is no hourly rate for carver in rate book edition 3; add it."
    )


def test_a_machine_operation_needs_a_machine_rate_and_a_bench_does_not():
    bench = a_commission(operations=(an_operation(station_kind="bench"),))
    assert estimate(bench, PLAIN_RATES, RACK).net > 0
    machine = a_commission(operations=(an_operation(station_kind="lathe", method=Method.MACHINE),))
    with pytest.raises(NotReady, match="lathe in rate book edition 3"):
        estimate(machine, PLAIN_RATES, RACK)


@pytest.mark.parametrize("share", ["1", "1.5"])
def test_a_margin_of_100_per_cent_or_more_has_no_price(share):
    rates = replace(PLAIN_RATES, profit=Profit(share=Decimal(share)))
    with pytest.raises(RulesBroken, match="no price has a margin of 100 %") as caught:
        estimate(a_commission(), rates, RACK)
    assert caught.value.errors[0].field == "rates/profit/share"


def test_an_unknown_species_is_named():
    job = a_commission(
        assemblies=(Assembly(key="door", label="Door", parts=(a_part(species="wenge"),)),)
    )
    with pytest.raises(NotReady, match="There is no wenge in the rack, and rail is made of it"):
        estimate(job, PLAIN_RATES, RACK)


def test_all_that_is_wrong_is_said_at_once_each_beside_its_field():
    job = a_commission(
        assemblies=(
            Assembly(key="door", label="Door", quantity=-1, parts=(a_part(length_mm=math.nan),)),
        ),
        operations=(an_operation(assembly="gate", count=-2, each_min=math.inf, spread=-1.0),),
        glue=(GlueArea(key="g", label="Glue", assembly="door", area_mm2=-5),),
        extras=(ExtraLine(key="e", label="E", unit_price=Decimal("NaN"), quantity=Decimal(-1)),),
    )
    with pytest.raises(RulesBroken) as caught:
        estimate(job, PLAIN_RATES, RACK)
    assert {error.field for error in caught.value.errors} == {
        "assemblies/0/quantity",
        "assemblies/0/parts/0/length_mm",
        "operations/0/assembly",
        "operations/0/count",
        "operations/0/each_min",
        "operations/0/spread",
        "glue/0/area_mm2",
        "extras/0/quantity",
        "extras/0/unit_price",
    }


def test_a_commission_in_another_currency_than_the_rates_is_refused():
    with pytest.raises(RulesBroken, match="choose one of them for both"):
        estimate(a_commission(currency="GBP"), PLAIN_RATES, RACK)


def test_credits_beyond_the_cost_are_refused():
    job = a_commission(extras=(ExtraLine(key="c", label="Credit", unit_price=Decimal(-5)),))
    with pytest.raises(RuleBroken, match="credits are greater than the cost"):
        estimate(job, PLAIN_RATES, RACK)


def test_an_empty_commission_costs_nothing():
    result = estimate(a_commission(), SHOP_RATES, RACK)
    assert (result.net, result.gross, result.hours.mean, result.chance_of_loss) == (0, 0, 0, 0)


MINUTES = st.floats(0, 500)
OPERATIONS = st.builds(
    an_operation,
    st.uuids().map(str),
    assembly=st.sampled_from(["door", "frame"]),
    joint=st.sampled_from(["", "M&T 1", "halving"]),
    skill=st.sampled_from(["bench", "machinist"]),
    station_kind=st.sampled_from(["", "mortiser", "saw"]),
    count=st.integers(0, 40),
    setup_min=MINUTES,
    each_min=MINUTES,
    spread=st.one_of(st.floats(0, 1), st.floats(0, 3)),
    learning_slope=st.sampled_from([1.0, 0.95, 0.85]),
)
PARTS = st.builds(
    a_part,
    st.uuids().map(str),
    length_mm=st.floats(1, 4000),
    width_mm=st.floats(1, 400),
    thickness_mm=st.floats(1, 47),
    quantity=st.integers(0, 50),
)
EXTRAS = st.builds(
    ExtraLine,
    key=st.uuids().map(str),
    label=st.just("Extra"),
    unit_price=st.decimals(min_value=0, max_value=900, places=3),
    quantity=st.decimals(min_value=0, max_value=20, places=2),
    kind=st.sampled_from(ExtraKind),
    assembly=st.sampled_from(["", "door", "frame"]),
    spread=st.floats(0, 1),
)
COMMISSIONS = st.builds(
    EstimateInput,
    commission=st.just("C-1"),
    currency=st.just("EUR"),
    assemblies=st.tuples(
        st.builds(
            Assembly,
            key=st.just("door"),
            label=st.just("Door"),
            quantity=st.integers(0, 30),
            parts=st.lists(PARTS, max_size=4).map(tuple),
        ),
        st.builds(
            Assembly,
            key=st.just("frame"),
            label=st.just("Frame"),
            parts=st.lists(PARTS, max_size=4).map(tuple),
        ),
    ),
    operations=st.lists(OPERATIONS, max_size=8).map(tuple),
    extras=st.lists(EXTRAS, max_size=4).map(tuple),
)
RATES = st.builds(
    lambda profit, overhead, rounding: replace(
        SHOP_RATES, profit=profit, overhead=overhead, rounding=rounding
    ),
    st.builds(
        Profit,
        basis=st.sampled_from(ProfitBasis),
        share=st.decimals(min_value=0, max_value=Decimal("0.9"), places=3),
    ),
    st.builds(
        Overhead,
        basis=st.sampled_from(OverheadBasis),
        rate=st.decimals(min_value=0, max_value=40, places=2),
    ),
    st.sampled_from([Decimal(0), Decimal("0.05"), Decimal(10)]),
)


@settings(max_examples=150)
@given(COMMISSIONS, RATES)
def test_unfolded_sums_equal_totals_at_every_node(commission, rates):
    result = estimate(commission, rates, RACK)
    assert_unfolds(result)
    assert sum(share.cost for share in result.assemblies) == result.cost
    assert sum(share.price for share in result.assemblies) == result.net
    assert result.cost + result.contingency + result.profit == result.net


PRICINGS = st.sampled_from([Pricing(), Pricing(basis=PriceBasis.P80)])


@settings(max_examples=150)
@given(COMMISSIONS, RATES, OPERATIONS, st.floats(0, 20_000), PRICINGS)
def test_one_more_joint_never_lowers_a_price(commission, rates, operation, area_mm2, pricing):
    more = replace(
        commission,
        operations=(*commission.operations, operation),
        glue=(GlueArea(key="new", label="New", assembly="door", area_mm2=area_mm2),),
    )
    before, after = (estimate(each, rates, RACK, pricing) for each in (commission, more))
    assert after.net >= before.net
    assert after.gross >= before.gross
    assert after.hours.mean >= before.hours.mean - 1e-9


def test_500_parts_and_500_joints_unfold_to_the_cent():
    parts = tuple(a_part(f"p{place}", length_mm=200.0 + place) for place in range(500))
    steps = ("Set out", "Chop", "Saw", "Fit")
    job = a_commission(
        assemblies=(Assembly(key="door", label="Door", parts=parts),),
        operations=tuple(
            an_operation(f"j{joint}-{step}", joint=f"joint {joint}", each_min=3.0 + joint / 100)
            for joint in range(500)
            for step in steps
        ),
        glue=tuple(
            GlueArea(key=f"g{joint}", label=f"joint {joint}", assembly="door", area_mm2=5000)
            for joint in range(500)
        ),
    )
    result = estimate(job, SHOP_RATES, RACK)

    assert len(result.line("labour/door").children) == 500
    assert_unfolds(result)
