"""Scenarios: kept, planned with the same budget, and marked when the shop has gone on."""

import itertools
from datetime import timedelta

import pytest
from django.utils import timezone

from orders.core.errors import NotNow, RuleBroken, RulesBroken
from orders.models import Commission, Operation
from shop.core.scenario import Away, Hire, LeaveOut, Overtime, SecondStation, TakeOrder
from shop.models import Hand, Plan, Scenario, Station
from shop.services import jobs, scenarios
from shop.services.scenario_planning import ask_for_scenarios
from shop.services.scenarios import add_scenario, change_scenario, side_by_side
from tests.builders import (
    a_calendar,
    a_commission,
    a_hand,
    a_station,
    a_workshop,
    an_assembly,
    an_operation,
    an_order,
    extra_work,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(settings):
    """Two benches and one joiner with three days of work that is due today."""
    settings.PLANNING_SECONDS = 0.2
    workshop = a_workshop(time_zone="UTC")
    week = a_calendar(workshop)
    for name in ("Bench A", "Bench B"):
        a_station(workshop, calendar=week, name=name)
    a_hand(workshop, calendar=week, name="Ines")
    order = an_order(workshop, title="Doors", due_on=timezone.localdate())
    for _ in range(6):
        an_operation(order, pieces=20)
    return workshop


def planned(shop):
    job = ask_for_scenarios(shop, by=None)
    jobs.run(job.pk)
    job.refresh_from_db()
    return job, {side.scenario.name: side for side in side_by_side(shop)}


def test_each_scenario_is_planned_and_stands_beside_the_shop_as_it_is(shop):
    week, bench = Hand.objects.get().calendar, Station.objects.get(name="Bench B")
    enquiry = a_commission(
        shop,
        title="Gate",
        due_on=timezone.localdate() + timedelta(days=90),
        timber_on=timezone.localdate() + timedelta(days=30),
    )
    extra_work(an_assembly(enquiry), operation="fit-hardware", minutes=90)
    add_scenario(
        shop,
        name="A hand more",
        changes=[Hire(name="Eve", skills={"joinery": 2}, calendar=week.pk)],
    )
    add_scenario(shop, name="Longer days", changes=[Overtime(minutes=120)])
    add_scenario(
        shop,
        name="Take the gate",
        changes=[TakeOrder(commission=enquiry.pk), SecondStation(station=bench.pk)],
    )

    job, sides = planned(shop)

    assert (job.state, next(iter(sides))) == ("done", "As it stands")
    base, hired, longer = (
        sides[name].outcome for name in ("As it stands", "A hand more", "Longer days")
    )
    assert hired.late_min < longer.late_min < base.late_min
    assert (base.more_min_a_week, hired.more_min_a_week, longer.more_min_a_week) == (0, 2400, 600)
    assert (base.overtime_min, longer.overtime_min > 0) == (0, True)
    assert (base.narrowest, [order.label for order in base.orders]) == (
        "Ines",
        [base.late_orders[0]],
    )
    gate = sides["Take the gate"].order(enquiry.pk)
    assert (gate.due_on, gate.late_min, gate.chance) == (enquiry.due_on, 0, 100)
    assert gate.ends_at.date() >= enquiry.timber_on
    assert sides["As it stands"].order(enquiry.pk) is None
    assert not Plan.objects.exists()


def test_who_is_away_makes_it_later_and_what_left_is_said(shop):
    start = timezone.now()
    tom = a_hand(shop, calendar=Hand.objects.get().calendar, name="Tom")
    away = Away(starts_at=start, ends_at=start + timedelta(days=21), hand=tom.pk)
    add_scenario(shop, name="Without Tom", changes=[away])
    _, sides = planned(shop)
    assert sides["Without Tom"].outcome.late_min > sides["As it stands"].outcome.late_min
    assert sides["Without Tom"].words[0].startswith("Tom is away ")

    Hand.objects.filter(pk=tom.pk).update(is_in_use=False)
    _, sides = planned(shop)

    assert sides["Without Tom"].outcome is None
    assert "no longer in use" in sides["Without Tom"].scenario.fault


def test_a_change_of_the_shop_or_of_the_scenario_makes_it_out_of_date(shop):
    row = add_scenario(shop, name="Longer days", changes=[Overtime(minutes=60)])
    _, sides = planned(shop)
    assert [side.is_outdated for side in sides.values()] == [False, False]

    change_scenario(row, changes=[Overtime(minutes=90)])
    assert [side.is_outdated for side in side_by_side(shop)] == [False, True]
    an_operation(an_order(shop))

    assert [side.is_outdated for side in side_by_side(shop)] == [True, True]


def test_an_order_that_is_gone_is_said_and_the_page_still_stands(shop):
    enquiry = a_commission(shop)
    extra_work(an_assembly(enquiry), operation="fit-hardware", minutes=90)
    add_scenario(shop, name="Take it", changes=[TakeOrder(commission=enquiry.pk)])
    enquiry.delete()

    _, sides = planned(shop)

    assert sides["Take it"].words == ("an order is taken on",)
    assert "in work or gone by now" in sides["Take it"].scenario.fault


def test_an_order_in_work_is_left_out_until_it_is_done(shop):
    doors = Commission.objects.get()
    gate = an_order(shop, title="Gate", due_on=timezone.localdate())
    an_operation(gate, pieces=20, cure_min=60)
    add_scenario(shop, name="No doors", changes=[LeaveOut(commission=doors.pk)])
    add_scenario(shop, name="No gate", changes=[LeaveOut(commission=gate.pk)])

    _, sides = planned(shop)

    without = sides["No doors"]
    assert without.words == (f"{doors.mark} Doors is left out",)
    assert without.order(doors.pk) is None
    assert without.order(gate.pk).ends_at <= sides["As it stands"].order(gate.pk).ends_at
    assert without.outcome.late_min < sides["As it stands"].outcome.late_min
    Operation.objects.filter(commission=gate).update(state=Operation.State.DONE)
    _, sides = planned(shop)
    assert "is done or gone" in sides["No gate"].scenario.fault
    assert sides["No doors"].outcome.orders == ()


def test_only_what_is_in_work_is_left_out(shop):
    enquiry = a_commission(shop)

    with pytest.raises(RulesBroken) as refused:
        add_scenario(shop, name="Without", changes=[LeaveOut(commission=enquiry.pk)])

    (fault,) = refused.value.errors
    assert (fault.field, fault.message) == (
        "changes/0/commission",
        "Choose a commission that is in work.",
    )


def test_a_stop_keeps_what_was_planned(shop, monkeypatch):
    add_scenario(shop, name="Longer days", changes=[Overtime(minutes=60)])
    answers = itertools.chain([False], itertools.repeat(True))
    monkeypatch.setattr(jobs.Claim, "is_stop_wanted", lambda self: next(answers))

    job, sides = planned(shop)

    assert (job.state, job.result) == ("stopped", {"planned": 1})
    assert (sides["As it stands"].outcome is None, sides["Longer days"].outcome) == (False, None)


def test_a_name_is_given_once_and_the_base_stays(shop):
    add_scenario(shop, name="Longer  days")
    for name in ("longer days", "As it stands", " "):
        with pytest.raises(RuleBroken) as refused:
            add_scenario(shop, name=name)
        assert refused.value.field == "name"
    with pytest.raises(NotNow, match="it stays"):
        scenarios.remove_scenario(scenarios.base_of(shop))


def test_what_another_workshop_has_cannot_be_supposed(shop):
    other = a_workshop()
    with pytest.raises(RulesBroken) as refused:
        add_scenario(
            shop,
            name="Borrowed",
            changes=[
                SecondStation(station=a_station(other).pk),
                Overtime(minutes=60, hand=a_hand(other).pk),
                Hire(name="Eve", skills={"whistling": 2}, calendar=a_calendar(other).pk),
                TakeOrder(commission=an_order(shop).pk),
            ],
        )
    assert [fault.field for fault in refused.value.errors] == [
        "changes/0/station",
        "changes/1/hand",
        "changes/2/calendar",
        "changes/2/skills/whistling",
        "changes/3/commission",
    ]
    assert not Scenario.objects.exists()


def test_more_scenarios_cost_no_more_queries(shop, django_assert_max_num_queries):
    for number in range(scenarios.MOST):
        add_scenario(shop, name=f"Number {number}", changes=[Overtime(minutes=60)])
    with pytest.raises(NotNow, match="remove one first"):
        add_scenario(shop, name="One too many")
    with django_assert_max_num_queries(16):
        side_by_side(shop)
