"""Stations and hands."""

from datetime import UTC, datetime

import pytest

from orders.core.errors import NotNow, RuleBroken, Stale
from shop.models import Hand, Station
from shop.services.clocking import start
from shop.services.stations import add_hand, add_station, change_hand, change_station
from tests.builders import (
    a_calendar,
    a_hand,
    a_member,
    a_station,
    a_workshop,
    an_operation,
    an_order,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def workshop():
    return a_workshop()


@pytest.fixture
def week(workshop):
    return a_calendar(workshop)


def test_a_station_is_added_and_changed(workshop, week):
    station = add_station(workshop, name=" Big saw ", kind="saw", calendar=week, places=2)
    changed = change_station(station, version=1, name="Small saw", is_in_use=False)
    assert (changed.name, changed.places, changed.is_in_use) == ("Small saw", 2, False)
    assert Station.objects.get().version == 2


def test_an_unknown_kind_of_station_is_refused(workshop, week):
    with pytest.raises(RuleBroken, match="A station's kind is one of bench, saw") as caught:
        add_station(workshop, name="Forge", kind="forge", calendar=week)
    assert caught.value.field == "kind"


def test_outwork_needs_no_station(workshop, week):
    with pytest.raises(RuleBroken, match="done elsewhere"):
        add_station(workshop, name="Away", kind="outwork", calendar=week)


def test_a_station_without_a_place_is_refused(workshop, week):
    with pytest.raises(RuleBroken, match="at least one operation"):
        add_station(workshop, name="Saw", kind="saw", calendar=week, places=0)


def test_a_name_is_given_once(workshop, week):
    add_station(workshop, name="Saw", kind="saw", calendar=week)
    with pytest.raises(RuleBroken, match="already a station of this name"):
        add_station(workshop, name="Saw", kind="saw", calendar=week)


def test_another_shops_calendar_is_refused(workshop):
    with pytest.raises(RuleBroken, match="one of the workshop's own calendars"):
        add_station(workshop, name="Saw", kind="saw", calendar=a_calendar(a_workshop()))


def test_a_calendar_without_hours_is_refused(workshop, week):
    week.openings.all().delete()
    with pytest.raises(RuleBroken, match="“Usual week” has no working hour") as caught:
        add_hand(workshop, name="Ines", calendar=week, skills={"joinery": 2})
    assert caught.value.field == "calendar"


def test_an_old_edition_of_a_station_is_refused(workshop):
    station = a_station(workshop)
    change_station(station, name="New name", version=1)
    with pytest.raises(Stale):
        change_station(station, name="Newer name", version=1)


def test_skills_replace_those_there_were(workshop, week):
    hand = add_hand(workshop, name="Ines", calendar=week, skills={"joinery": 2, "machining": 1})
    change_hand(hand, skills={"finishing": 3})
    assert list(hand.skills.values_list("skill", "level")) == [("finishing", 3)]


def test_unknown_skills_and_levels_are_refused(workshop, week):
    with pytest.raises(RuleBroken, match="not “flying”"):
        add_hand(workshop, name="Ines", calendar=week, skills={"flying": 2})
    with pytest.raises(RuleBroken, match="1 learning, 2 able or 3 master"):
        add_hand(workshop, name="Ines", calendar=week, skills={"joinery": 4})
    assert not Hand.objects.exists()


def test_a_member_of_another_shop_is_no_hand_here(workshop, week):
    stranger = a_member(a_workshop()).membership
    with pytest.raises(RuleBroken, match="does not belong to the workshop"):
        add_hand(workshop, name="Ines", calendar=week, skills={}, membership=stranger)


def test_a_hand_who_is_clocked_on_cannot_leave(workshop):
    hand = a_hand(workshop, name="Ines")
    start(an_operation(an_order(workshop)), hand, at=datetime(2026, 1, 5, 9, tzinfo=UTC))
    with pytest.raises(NotNow, match="Ines is clocked on"):
        change_hand(hand, is_in_use=False)


def test_a_field_that_is_not_there_is_a_bug(workshop):
    with pytest.raises(TypeError):
        change_station(a_station(workshop), colour="red")


def test_an_area_is_spelt_as_other_stations_spell_it(workshop, week):
    add_station(workshop, name="Saw", kind="saw", calendar=week, area="Machine room")
    bench = add_station(workshop, name="Bench", kind="bench", calendar=week, area="machine  ROOM ")
    assert bench.area == "Machine room"
    saw = Station.objects.get(name="Saw")
    assert change_station(saw, area="the yard").area == "the yard"
    assert change_station(bench, area="MACHINE ROOM").area == "MACHINE ROOM"
