"""A small shop that works today: two benches, a hand who signs in, an order with a plan."""

from dataclasses import dataclass
from datetime import datetime, timedelta

import pytest
from django.test import Client
from django.utils import timezone

from orders.models import Commission, Operation
from shop.models import Booking, Hand, Plan, Station, User, Workshop
from tests.builders import (
    a_calendar,
    a_hand,
    a_member,
    a_station,
    a_workshop,
    an_operation,
    an_order,
)


@dataclass
class Floor:
    """The shop and what is in it."""

    workshop: Workshop
    owner: User
    foreman: User
    estimator: User
    worker: User
    bench: Station
    hand: Hand
    other_hand: Hand
    order: Commission
    first: Operation
    second: Operation
    plan: Plan

    def as_(self, user: User) -> Client:
        """A browser in which the person is signed in."""
        client = Client()
        client.force_login(user)
        return client


@pytest.fixture
def floor(db) -> Floor:
    """Everything that the pages show."""
    workshop = a_workshop(name="Hollow Ash", time_zone="UTC")
    week = a_calendar(workshop)
    people = {role: a_member(workshop, role) for role in ("owner", "foreman", "estimator", "hand")}
    bench = a_station(workshop, name="Bench 1", calendar=week)
    a_station(workshop, name="Saw", kind="saw", calendar=week)
    hand = a_hand(workshop, name="Rowan", calendar=week, membership=people["hand"].membership)
    other_hand = a_hand(workshop, name="Tess", calendar=week)
    order = an_order(workshop, title="Hall bench", due_on=timezone.localdate() + timedelta(days=1))
    first = an_operation(order, name="Fit the seat")
    second = an_operation(order, name="Glue the seat", after=[first])
    now = timezone.now().replace(microsecond=0)
    plan = Plan.objects.create(
        workshop=workshop,
        number=7,
        state=Plan.State.ADOPTED,
        made_at=now,
        read_at=now + timedelta(days=1),
        method="earliest due date",
        is_proved=True,
        lower_bound=0,
    )
    for index, operation in enumerate((first, second)):
        start = now + timedelta(minutes=60 * index)
        book(plan, operation, start, start + timedelta(minutes=45), bench, hand)
    return Floor(
        workshop=workshop,
        owner=people["owner"],
        foreman=people["foreman"],
        estimator=people["estimator"],
        worker=people["hand"],
        bench=bench,
        hand=hand,
        other_hand=other_hand,
        order=order,
        first=first,
        second=second,
        plan=plan,
    )


def book(
    plan: Plan, operation: Operation, start: datetime, end: datetime, station: Station, hand: Hand
) -> Booking:
    """A booking without a pause."""
    return Booking.objects.create(
        plan=plan,
        operation=operation,
        station=station,
        hand=hand,
        starts_at=start,
        ends_at=end,
        stretches=[[start.isoformat(), end.isoformat()]],
    )


@pytest.fixture
def elsewhere(db) -> Client:
    """The owner of another workshop, signed in."""
    client = Client()
    client.force_login(a_member(a_workshop(), "owner"))
    return client
