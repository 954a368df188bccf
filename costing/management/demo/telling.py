"""The demo from its founding to this moment, in the order in which it happened."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.db import transaction

from costing.management.demo import billing, earlier, people, selling, workshop
from costing.management.demo.corrected import forget_to_clock_off
from costing.management.demo.floor import Floor
from costing.management.demo.pace import Pace
from costing.management.demo.planned import plan_the_shop
from costing.management.demo.stores import Stores
from costing.management.demo.story import STORY, Chapter
from costing.management.demo.supposed import suppose
from costing.management.demo.working_days import WorkingDays
from costing.models import LabourFit
from costing.services import learning
from orders.core.stages import Stage
from orders.models import Commission
from orders.services.commissions import move
from orders.services.release import release
from shop.core.roles import Role
from shop.models import Clocking, Hand, Job, Station, User, WorkingCalendar, Workshop
from shop.services import jobs
from shop.services.calendars import close

OPENS = (7, 30)
RELEASES = (7, 10)
PLANNED = -1
FIRST_DAY = -15
Sold = list[tuple[Chapter, Commission]]


@transaction.atomic
def tell(now: datetime, *, with_earlier: bool = True) -> Workshop:
    """Found the workshop and let its last nine months happen, or its last weeks only."""
    owner = people.owner()
    shop = workshop.found(owner)
    days = WorkingDays(now, ZoneInfo(shop.time_zone))
    calendar = WorkingCalendar.objects.of(shop).get()
    places = people.take_on(shop, calendar)
    foreman, estimator = places[Role.FOREMAN].user, places[Role.ESTIMATOR].user
    workshop.equip(shop, calendar)
    workshop.set_rates(shop, owner, days.today)
    workshop.fill_rack(shop)
    _close_now_and_then(shop, days)
    if with_earlier:
        earlier.live(shop, days, by=estimator, foreman=foreman)
    sold = [(chapter, selling.sell(shop, chapter, days, by=estimator)) for chapter in STORY]
    billing.bill(sold, days, by=estimator)
    _work(shop, sold, days, by=foreman)
    _learn(shop, now)
    suppose(shop)
    return shop


def _learn(shop: Workshop, now: datetime) -> None:
    """What the last night would have learned; the job is done here and not by a worker."""
    job = Job.objects.create(workshop=shop, kind=learning.KIND)
    jobs.run(job.pk)
    LabourFit.objects.of(shop).update(made_at=now)


def _close_now_and_then(shop: Workshop, days: WorkingDays) -> None:
    """Leave, a course, and a machine that stands still."""
    hands = {hand.name.split()[0]: hand for hand in Hand.objects.of(shop)}
    router = Station.objects.of(shop).get(kind="router")
    for number, hand, reason in ((-10, "Joss", "First-aid course"), (3, "Petra", "Leave")):
        start = datetime.combine(days.day(number), datetime.min.time(), days.zone)
        close(
            shop,
            starts_at=start,
            ends_at=start + timedelta(days=1),
            reason=reason,
            hand=hands[hand],
        )
    start = datetime.combine(days.day(2), datetime.min.time(), days.zone)
    close(
        shop,
        starts_at=start + timedelta(hours=7),
        ends_at=start + timedelta(hours=12),
        reason="New bearings",
        station=router,
    )


def _work(shop: Workshop, sold: Sold, days: WorkingDays, *, by: User) -> None:
    """Release, plan, clock and deliver."""
    stores = Stores()
    floor = Floor.of(shop, days.at(FIRST_DAY, *OPENS), Pace())
    released = [(chapter.released, order) for chapter, order in sold if chapter.released]
    for number, order in sorted(released, key=lambda pair: pair[0]):
        at = days.at(number, *RELEASES)
        floor.run(at)
        floor.take_up(release(order, by=by))
        selling.date_move(order, at)
        stores.issue(order, days.day(number), by=by)
    morning = days.at(PLANNED, *OPENS)
    floor.run(morning)
    floor.follow(plan_the_shop(shop, morning, by=by))
    floor.run(days.now)
    forget_to_clock_off(floor.ended, days, by=by)
    # Asked of the few hands: a database without statistics plans the way over the orders badly.
    Clocking.objects.filter(hand__in=Hand.objects.of(shop)).update(is_invented=True)
    _deliver(sold, floor, days, by=by)


def _deliver(sold: Sold, floor: Floor, days: WorkingDays, *, by: User) -> None:
    for chapter, order in sold:
        done_at = floor.finished_at(order.pk)
        if not chapter.is_delivered or done_at is None:
            continue
        move(order, Stage.DELIVERED, by=by)
        selling.date_move(order, done_at)
        if chapter.is_closed:
            move(order, Stage.CLOSED, by=by, note="Paid")
            selling.date_move(order, days.morning_after(done_at))
