"""Pins through the API: looked at first, set, taken out."""

from datetime import timedelta

from django.utils import timezone

from shop.models import Pin
from tests.builders import a_calendar, a_hand, a_station, an_operation, an_order


def test_a_wish_is_looked_at_kept_and_taken_out(program, workshop):
    week = a_calendar(workshop)
    a_station(workshop, calendar=week)
    a_hand(workshop, calendar=week)
    tom = a_hand(workshop, calendar=week, name="Tom")
    address = f"operations/{an_operation(an_order(workshop)).pk}/"
    wish = {"hand": tom.pk}

    found = program.post(f"{address}consequence/", wish).json()
    assert (found["hands"], found["orders"], Pin.objects.exists()) == ("Tom", [], False)
    assert program.get(f"{address}pin/").status_code == 404
    fitted = program.put(f"{address}pin/", wish, "*")

    assert (fitted.status_code, program.get(f"{address}pin/").json()["hand"]) == (200, tom.pk)
    program.delete(f"{address}pin/")
    assert not Pin.objects.exists()


def test_a_time_that_has_passed_is_refused_at_its_place(program, workshop):
    address = f"operations/{an_operation(an_order(workshop)).pk}/"
    a_hand(workshop)
    a_station(workshop)
    past = (timezone.now() - timedelta(days=1)).isoformat()

    answer = program.put(f"{address}pin/", {"starts_at": past}, "*")

    assert answer.status_code == 400
    assert "starts_at" in answer.json()["errors"][0]["pointer"]
