"""The scenarios of the demo: what the shop turns over in its mind, not planned yet."""

from orders.models import Commission
from shop.core.scenario import Hire, Overtime, SecondStation, TakeOrder
from shop.models import Station, WorkingCalendar, Workshop
from shop.services.promising import AHEAD
from shop.services.scenarios import add_scenario

SATURDAY = 5


def suppose(shop: Workshop) -> None:
    """Saturday mornings, a second mortiser, a hand more, and the order that is due next."""
    mortiser = Station.objects.of(shop).get(kind="mortiser")
    week = WorkingCalendar.objects.of(shop).get()
    near = Commission.objects.of(shop).filter(stage__in=AHEAD, due_on__isnull=False)
    next_order = near.order_by("due_on", "pk").first()
    add_scenario(
        shop,
        name="Saturday mornings",
        changes=[Overtime(minutes=270, weekdays=(SATURDAY,))],
    )
    add_scenario(shop, name="A second mortiser", changes=[SecondStation(station=mortiser.pk)])
    joiner = Hire(name="A joiner", skills={"joinery": 2, "machining": 2}, calendar=week.pk)
    add_scenario(shop, name="A joiner more", changes=[joiner])
    if next_order is not None:
        taken = TakeOrder(commission=next_order.pk)
        add_scenario(shop, name="Take the next order", changes=[taken])
        add_scenario(shop, name="Take it with a joiner more", changes=[taken, joiner])
