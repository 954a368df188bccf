"""What-ifs are priced side by side, and adopting one gives just what it showed."""

from datetime import UTC, datetime
from decimal import Decimal

import pytest

from costing.core.finish import SupposedFinish
from costing.core.pricing import PriceBasis, Pricing
from costing.core.quantity import multiplied
from costing.models import Board
from costing.services.estimating import Books, basis_for, estimate_for
from costing.services.extra_costs import add_extra_cost
from costing.services.price_setting import forget_learning, price_set, set_price
from costing.services.what_ifs import (
    add_what_if,
    adopt_what_if,
    basis_of,
    quantities,
    remove_what_if,
    side_by_side,
)
from orders.core.errors import NotNow, NotReady, RulesBroken, Stale
from orders.core.stages import Stage
from orders.core.supposition import MOST_OFF, Supposition
from orders.core.times import Method
from orders.services.rows import Rows
from tests.costing.services.test_estimating import TODAY, commission, workshop  # noqa: F401

pytestmark = pytest.mark.django_db
MORNING = datetime(2026, 3, 2, 7, tzinfo=UTC)
SUPPOSITIONS = {
    "Five": Supposition(quantity=5),
    "By hand": Supposition(method=Method.HAND),
    "In ash": Supposition(species={"oak-white": "ash-white"}),
    "Dowelled": Supposition(joints={"mortise-tenon": "dowel"}),
    "All at once": Supposition(
        quantity=3,
        method=Method.HAND,
        species={"oak-white": "ash-white"},
        joints={"mortise-tenon": "t-bridle"},
    ),
}


@pytest.fixture
def ash(workshop):  # noqa: F811
    Board.objects.bulk_create(
        Board(
            workshop=workshop,
            species="ash-white",
            thickness_mm=thickness,
            price_per_m3=Decimal(2200),
        )
        for thickness in (27, 34, 52, 80)
    )


@pytest.mark.usefixtures("ash")
@pytest.mark.parametrize("name", SUPPOSITIONS)
def test_adopting_an_alternative_gives_what_it_showed(commission, name):  # noqa: F811
    what_if = add_what_if(commission, name=name, supposition=SUPPOSITIONS[name])
    now, then = side_by_side(commission, TODAY, MORNING)
    assert (now.name, then.name, then.fault) == ("As it stands", name, "")
    assert then.estimate.net != now.estimate.net

    adopt_what_if(what_if, on=TODAY)

    assert estimate_for(commission, TODAY) == then.estimate
    assert not commission.what_ifs.exists()


@pytest.mark.usefixtures("ash")
def test_comparing_changes_nothing(commission):  # noqa: F811
    before = estimate_for(commission, TODAY)
    for name, supposition in SUPPOSITIONS.items():
        add_what_if(commission, name=name, supposition=supposition)

    sides = side_by_side(commission, TODAY, MORNING)

    assert len({side.estimate.net for side in sides}) == len(SUPPOSITIONS) + 1
    assert sides[0].estimate == before == estimate_for(commission, TODAY)


def test_a_quantity_on_the_rows_is_the_quantity_of_the_core(commission, workshop):  # noqa: F811
    what_if = add_what_if(commission, name="Four", supposition=Supposition(quantity=4))
    books, rows = Books.of(workshop, TODAY), Rows.of(commission)

    assert basis_of(commission, books, rows, what_if).commission == multiplied(
        basis_for(commission, TODAY).commission, 4
    )


def test_learning_is_kept_and_can_be_forgotten(commission):  # noqa: F811
    five = add_what_if(commission, name="Five", supposition=Supposition(quantity=5))
    adopt_what_if(five, on=TODAY)
    learnt = estimate_for(commission, TODAY)

    forget_learning(commission)

    assert estimate_for(commission, TODAY).hours.mean > learnt.hours.mean


def test_one_of_many_costs_less_the_more_are_made(commission):  # noqa: F811
    breaks = quantities(commission, TODAY, (1, 2, 5, 20))

    each = [one.net_each for one in breaks]
    assert each == sorted(each, reverse=True)
    assert breaks[0].estimate == estimate_for(commission, TODAY)


def test_a_price_by_hand_is_for_the_work_as_it_stood(commission):  # noqa: F811
    expected = estimate_for(commission, TODAY)
    set_price(commission, Pricing(basis=PriceBasis.HAND, net=Decimal(9999)))
    what_if = add_what_if(commission, name="Two", supposition=Supposition(quantity=2))

    now, then = side_by_side(commission, TODAY, MORNING)

    assert now.estimate.net == 9999
    assert expected.net < then.estimate.net < 2 * expected.net
    adopt_what_if(what_if, on=TODAY)
    assert price_set(commission).basis is PriceBasis.EXPECTED


def test_what_cannot_be_priced_says_so_in_its_place(commission):  # noqa: F811
    add_what_if(commission, name="In teak", supposition=Supposition(species={"oak-white": "teak"}))

    now, then = side_by_side(commission, TODAY, MORNING)

    assert now.estimate
    assert then.estimate is None
    assert "no teak in the rack" in then.fault


def test_joints_that_do_not_suit_are_named_and_nothing_changes(commission):  # noqa: F811
    joint = commission.assemblies.get(name="Frame").joints.get()
    joint.part_b.thickness_mm = Decimal(18)
    joint.part_b.save()
    before = estimate_for(commission, TODAY)
    what_if = add_what_if(
        commission, name="Scarfed", supposition=Supposition(joints={"mortise-tenon": "scarf"})
    )

    with pytest.raises(NotReady, match=joint.mark):
        adopt_what_if(what_if, on=TODAY)
    assert estimate_for(commission, TODAY) == before


@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"supposition": Supposition()}, "supposed"),
        ({"supposition": Supposition(quantity=-1)}, "supposed/quantity"),
        ({"supposition": Supposition(quantity=MOST_OFF + 1)}, "supposed/quantity"),
        (
            {"supposition": Supposition(species={"oak-white": "plastic"})},
            "supposed/species/oak-white",
        ),
        (
            {"supposition": Supposition(joints={"mortise-tenon": "nail"})},
            "supposed/joints/mortise-tenon",
        ),
        ({"name": " "}, "name"),
        ({"name": "five"}, "name"),
        ({"learning_slope": 0.5}, "learning_slope"),
    ],
)
def test_what_makes_no_sense_is_named(commission, more, field):  # noqa: F811
    add_what_if(commission, name="Five", supposition=SUPPOSITIONS["Five"])

    with pytest.raises(RulesBroken) as caught:
        add_what_if(commission, **{"name": "Six", "supposition": Supposition(quantity=6), **more})
    assert [fault.field for fault in caught.value.errors] == [field]
    assert commission.what_ifs.count() == 1


def test_a_frozen_commission_has_no_alternatives(commission):  # noqa: F811
    what_if = add_what_if(commission, name="Five", supposition=SUPPOSITIONS["Five"])
    commission.stage = Stage.IN_WORK
    commission.save()

    with pytest.raises(NotNow):
        add_what_if(commission, name="Six", supposition=SUPPOSITIONS["Five"])
    with pytest.raises(NotNow):
        adopt_what_if(what_if, on=TODAY)


def test_an_alternative_is_adopted_once(commission):  # noqa: F811
    what_if = add_what_if(commission, name="Five", supposition=SUPPOSITIONS["Five"])
    again = type(what_if).objects.get(pk=what_if.pk)
    adopt_what_if(what_if, on=TODAY)

    with pytest.raises(Stale):
        adopt_what_if(again, on=TODAY)
    with pytest.raises(Stale):
        remove_what_if(again)


def test_queries_do_not_grow_with_the_alternatives(commission, django_assert_max_num_queries):  # noqa: F811
    for number in range(2, 8):
        add_what_if(commission, name=str(number), supposition=Supposition(quantity=number))

    with django_assert_max_num_queries(24):
        side_by_side(commission, TODAY, MORNING)


def test_another_finish_takes_the_place_of_the_one_there_is(commission):  # noqa: F811
    add_extra_cost(commission, kind="finish", label="Wax", unit_price=Decimal(30))
    add_extra_cost(commission, kind="delivery", label="Van", unit_price=Decimal(50))
    oil = SupposedFinish(label="Oil, three coats", net=Decimal("84.50"))

    row = add_what_if(commission, name="Oiled", supposition=Supposition(quantity=2), finish=oil)
    _, side = side_by_side(commission, TODAY, MORNING)
    adopt_what_if(row, on=TODAY)

    adopted = estimate_for(commission, TODAY)
    assert adopted.line("finish").amount == Decimal("169.00")
    assert side.words == ("2 times over", "finish: Oil, three coats")
    assert side.estimate.net == adopted.net
    assert sorted(commission.extra_costs.values_list("label", flat=True)) == [
        "Oil, three coats",
        "Van",
    ]


def test_a_finish_alone_is_something_to_suppose_and_has_a_name_and_a_price(commission):  # noqa: F811
    add_what_if(
        commission,
        name="Oiled",
        supposition=Supposition(),
        finish=SupposedFinish(label="Oil", net=Decimal(0)),
    )
    with pytest.raises(RulesBroken) as caught:
        add_what_if(
            commission,
            name="Bare",
            supposition=Supposition(),
            finish=SupposedFinish(label=" ", net=Decimal(-1)),
        )
    assert [fault.field for fault in caught.value.errors] == ["finish/label", "finish/net"]
