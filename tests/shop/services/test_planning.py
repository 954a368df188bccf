"""Plans: made in a job, stored whole, adopted, found stale."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from orders.core.errors import NotNow, NotReady, RuleBroken
from orders.core.stages import Stage
from orders.core.times import Skill, StationKind
from orders.models import Operation
from orders.services.release import release
from shop.core.plan import schedule as core
from shop.core.plan.check import check
from shop.core.plan.prices import Measure
from shop.models import Booking, Hand, Job, Opening, Plan, Station, WorkingCalendar
from shop.services import jobs, planning
from shop.services.calendars import Hours, change_calendar, close, reopen
from shop.services.clocking import finish, pause, start
from shop.services.days import day_sheet
from shop.services.jobs import Overtaken
from shop.services.keys import hand_key, held_key, row_of, station_key, task_key
from shop.services.measures import weighed
from shop.services.outwork import Outwork
from shop.services.problem import problem_for
from shop.services.stations import add_hand, add_station
from shop.services.told import MOVE_PRICE, with_told
from shop.services.waiting import waits_of
from shop.services.workshops import change_workshop, found_workshop
from tests.builders import (
    a_calendar,
    a_commission,
    a_hand,
    a_joint,
    a_member,
    a_station,
    a_workshop,
    an_assembly,
    an_operation,
    an_order,
    extra_work,
)

pytestmark = pytest.mark.django_db
MONDAY = datetime(2026, 1, 5, 9, tzinfo=UTC)
State = Operation.State


@pytest.fixture(autouse=True)
def _quick(settings):
    settings.PLANNING_SECONDS = 1


@pytest.fixture
def workshop():
    return a_workshop()


@pytest.fixture
def shop(workshop):
    """Two benches, a saw, two joiners and a finisher on one calendar."""
    week = a_calendar(workshop)
    for name in ("Bench A", "Bench B"):
        a_station(workshop, name=name, calendar=week)
    a_station(workshop, name="Saw", kind="saw", calendar=week)
    for name in ("Ines", "Tom"):
        a_hand(workshop, name=name, calendar=week, skills={"joinery": 2, "machining": 2})
    a_hand(workshop, name="Uma", calendar=week, skills={"finishing": 2})
    return workshop


def planned(workshop) -> Plan:
    """The plan of a job that ran to its end here and now."""
    job = jobs.ask("plan", workshop, once="plan")
    jobs.run(job.pk)
    job.refresh_from_db()
    assert job.state == Job.State.DONE, job.problem
    return Plan.objects.get(job=job)


def refusal(workshop) -> str:
    """The sentence with which planning ended."""
    job = jobs.ask("plan", workshop, once="plan")
    jobs.run(job.pk)
    job.refresh_from_db()
    assert job.state == Job.State.FAILED
    return job.problem


def spans(pairs):
    """Instants as they are kept, two and two."""
    return tuple((datetime.fromisoformat(a), datetime.fromisoformat(b)) for a, b in pairs)


def violations(plan: Plan) -> list[str]:
    """What the independent checker says of the rows, read back from the database."""
    problem = problem_for(plan.workshop, plan.read_at)
    rows = {row.operation_id: row for row in plan.bookings.prefetch_related("helpers")}
    bookings = [
        core.Booking(
            task=task_key(row.operation_id),
            station=station_key(row.station_id) if row.station_id else None,
            hand=hand_key(row.hand_id) if row.hand_id else None,
            helpers=tuple(hand_key(helper.pk) for helper in row.helpers.all()),
            start=row.starts_at,
            end=row.ends_at,
            pieces=spans(row.stretches),
            overtime=spans(row.overtime),
        )
        for row in rows.values()
    ]
    for task in problem.tasks:
        if row_of(task.key) is None:
            done = rows[next(pk for pk in rows if held_key(pk) == task.key)].ends_at
            end = done + timedelta(minutes=task.minutes)
            bookings.append(core.Booking(task=task.key, start=done, end=end, pieces=((done, end),)))
    figures = plan.objective
    objective = core.Objective(
        weighted_lateness_min=figures["weighted_lateness_min"],
        makespan_min=figures["makespan_min"],
        setup_min=figures["setup_min"],
        overtime_min=figures["overtime_min"],
        in_progress_min=figures["in_progress_min"],
        idle_min=figures["idle_min"],
        costs={Measure(name): cost for name, cost in figures["costs"].items()},
        late_orders=tuple(f"order-{pk}" for pk in figures["late_orders"]),
    )
    schedule = core.Schedule(bookings=tuple(bookings), objective=objective, method=plan.method)
    return [violation.message for violation in check(problem, schedule)]


def test_everything_released_is_planned_and_nothing_is_booked_twice(shop):
    for due in (date(2026, 12, 31), None, date(2026, 11, 27)):
        order = an_order(shop, due_on=due)
        saw = an_operation(order, station_kind="saw", skill="machining")
        cut = [an_operation(order, after=[saw]) for _ in range(3)]
        glue = an_operation(order, after=cut, cure_min=90, pieces=1)
        an_operation(order, after=[glue], skill="finishing")
    plan = planned(shop)
    assert plan.bookings.count() == Operation.objects.count() == 18
    assert violations(plan) == []


def offer_evenings():
    """Overtime from six to ten on every day."""
    week = WorkingCalendar.objects.get()
    evenings = [
        Hours(weekday=day, starts=time(18), ends=time(22), is_overtime=True) for day in range(7)
    ]
    regular = [Hours(weekday=o.weekday, starts=o.starts, ends=o.ends) for o in week.openings.all()]
    change_calendar(week, hours=[*regular, *evenings])


@pytest.mark.parametrize(("price", "is_worked"), [(0.5, True), (1000, False)])
def test_overtime_is_offered_by_the_week_and_priced_by_the_owner(shop, price, is_worked):
    offer_evenings()
    change_workshop(shop, overtime_price=price)
    order = an_order(shop, due_on=timezone.localdate())
    first = an_operation(order, pieces=60)
    an_operation(order, pieces=60, after=[first])
    plan = planned(shop)
    assert violations(plan) == []
    assert any(row.overtime for row in plan.bookings.all()) is is_worked
    assert (plan.objective["overtime_min"] > 0) is is_worked
    booked = [row for row in plan.bookings.all() if row.overtime]
    for row in booked[:1]:
        on = datetime.fromisoformat(row.overtime[0][0]).astimezone(ZoneInfo(shop.time_zone)).date()
        assert any(item.overtime for item in day_sheet(row.hand, on).items)


@pytest.mark.parametrize(
    ("order", "is_worked"), [(["lateness", "overtime"], True), (["overtime", "lateness"], False)]
)
def test_the_first_measure_counts_before_all_others(shop, order, is_worked):
    offer_evenings()
    shop = change_workshop(shop, overtime_price=1000, plans_by="order", measure_order=order)
    first = an_operation(an_order(shop, due_on=timezone.localdate()), pieces=60)
    an_operation(first.commission, pieces=60, after=[first])

    plan = planned(shop)

    overtime = plan.objective["overtime_min"]
    assert (overtime > 0) is is_worked
    assert plan.objective["order"] == order
    weighed_as = {each.name: (each.place, each.cost_min) for each in weighed(plan.objective)}
    assert weighed_as["overtime"] == (order.index("overtime") + 1, overtime * 1000)
    assert weighed_as["late, by importance"] == (order.index("lateness") + 1, plan.late_min)
    assert weighed_as["set-ups"] == (None, 0)


def test_what_people_were_told_weighs_as_before_where_measures_come_in_an_order(shop):
    asked = with_told(problem_for(shop, timezone.now()), {}, UTC)
    shop = change_workshop(shop, plans_by="order", measure_order=["setup", "lateness"])
    in_order = with_told(problem_for(shop, timezone.now()), {}, UTC)

    assert asked.move_price == MOVE_PRICE
    assert in_order.move_price == MOVE_PRICE * in_order.prices.lateness
    assert in_order.weights == asked.prices


@pytest.mark.parametrize("order", [[], ["setup", "setup"], ["speed"], list(Measure)])
def test_measures_that_cannot_come_one_after_another_are_refused(shop, order):
    with pytest.raises(RuleBroken) as refused:
        change_workshop(shop, measure_order=order)

    assert refused.value.field == "measure_order"


def test_nothing_is_begun_before_the_timber_arrives(shop):
    day = timezone.localdate() + timedelta(days=9)
    order = an_order(shop, timber_on=day)
    for _ in range(2):
        an_operation(order)
    plan = planned(shop)
    assert violations(plan) == []
    zone = ZoneInfo(shop.time_zone)
    assert all(row.starts_at.astimezone(zone).date() >= day for row in plan.bookings.all())


def test_pieces_are_handed_on_as_the_workshop_says(shop):
    change_workshop(shop, batch_pieces=2)
    order = an_order(shop)
    first = an_operation(order, pieces=20)
    second = an_operation(order, pieces=20, after=[first])
    an_operation(order, pieces=1, after=[second])
    plan = planned(shop)
    assert violations(plan) == []
    shares = [task.batch_share for task in problem_for(shop, timezone.now()).tasks]
    assert shares == [1, 0.1, 1]
    sawn, planed, fitted = plan.bookings.order_by("operation__number")
    assert planed.starts_at < sawn.ends_at < planed.ends_at <= fitted.starts_at


def test_a_hand_may_begin_with_the_first_batch(shop):
    change_workshop(shop, batch_pieces=2)
    order = an_order(shop)
    first = an_operation(order, pieces=20)
    second = an_operation(order, pieces=20, after=[first])
    ines, tom = (Hand.objects.get(name=name) for name in ("Ines", "Tom"))
    start(first, ines, at=timezone.now() - timedelta(hours=1))
    with pytest.raises(NotNow, match="must be done first"):
        start(second, tom, at=timezone.now())
    pause(ines, at=timezone.now(), pieces=2)
    assert start(second, tom, at=timezone.now()).operation == second


def test_an_order_somebody_worked_on_is_begun(shop):
    order = an_order(shop)
    operation = an_operation(order)
    now = timezone.now()
    assert [o.is_begun for o in problem_for(shop, now).orders] == [False]
    start(operation, Hand.objects.get(name="Ines"), at=now)
    assert [o.is_begun for o in problem_for(shop, timezone.now()).orders] == [True]


def test_the_checker_sees_a_hand_booked_twice(shop):
    order = an_order(shop)
    for _ in range(4):
        an_operation(order)
    plan = planned(shop)
    ines = Hand.objects.get(name="Ines")
    first = plan.bookings.first()
    plan.bookings.update(
        hand=ines,
        starts_at=first.starts_at,
        ends_at=first.ends_at,
        stretches=first.stretches,
    )
    assert any("asks more of" in message for message in violations(plan))


def test_work_after_glue_waits_for_the_cure(shop):
    order = an_order(shop)
    glue = an_operation(order, cure_min=600, pieces=1)
    flush = an_operation(order, after=[glue])
    plan = planned(shop)
    ends = plan.bookings.get(operation=glue).ends_at
    assert plan.bookings.get(operation=flush).starts_at >= ends + timedelta(minutes=600)


def test_a_cure_holds_up_only_what_follows_that_glue(shop):
    order = an_order(shop)
    glue = an_operation(order, cure_min=60, pieces=1, setup_min=0, each_min=10)
    slow = an_operation(order, pieces=1, each_min=400)
    flush = an_operation(order, after=[glue, slow])
    plan = planned(shop)
    waited = (
        plan.bookings.get(operation=flush).starts_at - plan.bookings.get(operation=slow).ends_at
    )
    assert waited < timedelta(minutes=60)


def test_what_cured_glue_still_holds_up_is_known_after_it_is_done(shop):
    order = an_order(shop)
    glue = an_operation(
        order, cure_min=24 * 60, pieces=1, pieces_done=1, state=State.DONE, done_at=timezone.now()
    )
    flush = an_operation(order, after=[glue])
    plan = planned(shop)
    begins = plan.bookings.get(operation=flush).starts_at
    assert begins >= glue.done_at + timedelta(days=1)


def test_running_work_stays_with_its_hand_and_takes_what_is_left(shop):
    order = an_order(shop)
    operation = an_operation(order, pieces=4, pieces_done=2, setup_min=0, each_min=30)
    tom, bench = Hand.objects.get(name="Tom"), Station.objects.get(name="Bench B")
    start(operation, tom, at=timezone.now() - timedelta(minutes=10), station=bench)
    booking = planned(shop).bookings.get()
    minutes = sum(
        (datetime.fromisoformat(b) - datetime.fromisoformat(a)).total_seconds() / 60
        for a, b in booking.stretches
    )
    assert (booking.hand, booking.station) == (tom, bench)
    assert minutes == pytest.approx(50, abs=1.1)


def test_two_hands_on_one_operation_are_both_booked(shop):
    operation = an_operation(an_order(shop), pieces=10, each_min=60)
    for name in ("Tom", "Ines"):
        hand = Hand.objects.get(name=name)
        start(operation, hand, at=timezone.now() - timedelta(minutes=1))
    plan = planned(shop)
    booking = plan.bookings.get()
    assert {booking.hand, *booking.helpers.all()} == set(
        Hand.objects.filter(name__in=["Tom", "Ines"])
    )
    assert violations(plan) == []


def test_two_at_one_machine_can_still_be_planned(shop):
    order = an_order(shop)
    saw = Station.objects.get(name="Saw")
    for name in ("Tom", "Ines"):
        operation = an_operation(order, station_kind="saw", skill="machining")
        start(operation, Hand.objects.get(name=name), at=timezone.now(), station=saw)
    plan = planned(shop)
    assert sorted(bool(row.station_id) for row in plan.bookings.all()) == [False, True]


def test_outwork_is_sent_by_a_hand_and_what_follows_waits_until_it_is_back(shop):
    change_workshop(shop, outwork_days=6)
    order = an_order(shop)
    sent = an_operation(order, station_kind="outwork", skill="machining")
    fitted = an_operation(order, number=2)
    fitted.after.add(sent)
    rows = {row.operation_id: row for row in planned(shop).bookings.all()}
    assert rows[sent.pk].station is None
    assert rows[sent.pk].hand is not None
    zone = ZoneInfo(shop.time_zone)
    sent_on, fitted_on = (
        at.astimezone(zone).date() for at in (rows[sent.pk].ends_at, rows[fitted.pk].starts_at)
    )
    assert fitted_on >= sent_on + timedelta(days=6)
    away = rows[sent.pk].leaves_at, rows[sent.pk].returns_at
    assert rows[sent.pk].ends_at <= away[0] < away[1] <= rows[fitted.pk].starts_at
    assert rows[fitted.pk].leaves_at is None


def test_a_closure_without_an_end_in_sight_is_named(shop):
    an_operation(an_order(shop))
    now = timezone.now()
    close(shop, starts_at=now, ends_at=now + timedelta(days=900), reason="moving house")
    with pytest.raises(NotReady, match=r"The whole workshop is closed until .* \(moving house\)"):
        problem_for(shop, now)


def test_glue_that_cures_goes_nowhere(shop):
    order = an_order(shop)
    glued = an_operation(order, cure_min=60)
    an_operation(order, number=2).after.add(glued)
    for row in planned(shop).bookings.all():
        assert (row.leaves_at, row.returns_at) == (None, None)


def test_outwork_that_was_sent_keeps_what_follows_until_it_is_back(shop):
    change_workshop(shop, outwork_days=6)
    order = an_order(shop)
    at = timezone.now() - timedelta(days=2)
    sent = an_operation(
        order, station_kind="outwork", name="Gild", state=State.DONE, pieces_done=4, done_at=at
    )
    fitted = an_operation(order, number=2)
    fitted.after.add(sent)
    zone = ZoneInfo(shop.time_zone)
    shop.refresh_from_db()
    _, back = Outwork.of(shop, at).trip(at)
    assert back.astimezone(zone).date() >= at.astimezone(zone).date() + timedelta(days=6)
    assert planned(shop).bookings.get().starts_at >= back
    (wait,) = waits_of(fitted, timezone.now())
    assert f"is away until {back.astimezone(zone):%A %d %B}" in wait.words(zone)
    assert waits_of(fitted, back) == []


def test_outwork_that_nobody_can_send_is_said(shop):
    Hand.objects.filter(name="Uma").update(is_in_use=False)
    an_operation(an_order(shop), station_kind="outwork", skill="finishing")
    with pytest.raises(NotReady, match="skill “finishing”"):
        problem_for(shop, timezone.now())


def test_only_work_of_orders_in_work_is_planned(shop):
    an_operation(a_commission(shop, stage=Stage.DELIVERED))
    an_operation(an_order(shop), state=State.DONE, pieces_done=4, done_at=timezone.now())
    assert planned(shop).bookings.count() == 0


def test_a_closure_of_the_shop_is_kept_free(shop):
    an_operation(an_order(shop))
    until = timezone.now() + timedelta(days=20)
    close(shop, starts_at=timezone.now() - timedelta(days=1), ends_at=until, reason="Holidays")
    assert planned(shop).bookings.get().starts_at >= until


def test_an_absent_hand_is_not_planned(shop):
    an_operation(an_order(shop))
    for name in ("Ines",):
        now = timezone.now()
        hand = Hand.objects.get(name=name)
        close(shop, hand=hand, starts_at=now, ends_at=now + timedelta(days=60), reason="Leave")
    assert planned(shop).bookings.get().hand.name == "Tom"


class TestRefusals:
    """What cannot be planned ends the job with a sentence and leaves the last good plan."""

    def test_no_station_of_the_kind(self, shop):
        an_operation(an_order(shop), station_kind="mortiser")
        assert refusal(shop) == (
            "There is no station of the kind “mortiser” in use, and one operation needs it:"
            " add one, or take one into use."
        )

    def test_nobody_has_the_skill(self, shop):
        Hand.objects.filter(name="Uma").update(is_in_use=False)
        order = an_order(shop)
        for _ in range(3):
            an_operation(order, skill="finishing")
        assert refusal(shop) == (
            "Nobody who works here has the skill “finishing”, and 3 operations need it:"
            " give it to a hand."
        )

    def test_a_calendar_without_a_working_hour(self, shop):
        an_operation(an_order(shop))
        Opening.objects.all().delete()
        assert "has no working hour ahead. Give the calendar opening hours" in refusal(shop)

    def test_the_last_good_plan_is_left(self, shop):
        order = an_order(shop)
        an_operation(order)
        good = planned(shop)
        an_operation(order, station_kind="mortiser")
        refusal(shop)
        assert Plan.objects.in_force().get() == good
        assert good.bookings.count() == 1

    def test_problem_for_raises_it_too(self, shop):
        an_operation(an_order(shop), station_kind="drill")
        with pytest.raises(NotReady):
            problem_for(shop, timezone.now())


class TestAdoption:
    """The first plan is in force at once; later ones are proposals."""

    def test_the_first_plan_is_adopted_at_once(self, shop):
        an_operation(an_order(shop))
        assert planned(shop).state == Plan.State.ADOPTED

    def test_a_later_plan_is_proposed_and_only_the_newest_is_kept(self, shop):
        an_operation(an_order(shop))
        first, second, third = (planned(shop) for _ in range(3))
        assert Plan.objects.in_force().get() == first
        assert not Plan.objects.filter(pk=second.pk).exists()
        assert (third.state, third.number) == (Plan.State.PROPOSED, 3)

    def test_a_shop_that_plans_itself_adopts_each(self, shop):
        shop.plans_itself = True
        shop.save()
        an_operation(an_order(shop))
        planned(shop)
        second = planned(shop)
        assert Plan.objects.in_force().get() == second
        assert Plan.objects.filter(state=Plan.State.SUPERSEDED).count() == 1

    def test_adopting_supersedes_the_plan_before(self, shop):
        an_operation(an_order(shop))
        first, second = planned(shop), planned(shop)
        foreman = a_member(shop, "foreman")
        adopted = planning.adopt(second, by=foreman)
        first.refresh_from_db()
        assert (adopted.state, adopted.adopted_by) == (Plan.State.ADOPTED, foreman)
        assert first.state == Plan.State.SUPERSEDED

    def test_what_is_no_proposal_cannot_be_adopted_or_thrown_away(self, shop):
        an_operation(an_order(shop))
        plan = planned(shop)
        with pytest.raises(NotNow, match="no longer a proposal"):
            planning.adopt(plan, by=None)
        with pytest.raises(NotNow, match="only proposals are thrown away"):
            planning.discard(plan)

    def test_a_proposal_can_be_thrown_away(self, shop):
        an_operation(an_order(shop))
        first, second = planned(shop), planned(shop)
        planning.discard(second)
        assert Plan.objects.get() == first


class TestStale:
    """A plan is stale when something it depends on changed after it was read."""

    @pytest.fixture
    def operation(self, shop):
        operation = an_operation(an_order(shop))
        planned(shop)
        return operation

    def test_a_fresh_plan_is_not(self, operation, shop):
        assert not planning.is_stale(shop)

    def test_work_without_any_plan_is(self, shop):
        assert not planning.is_stale(shop)
        an_operation(an_order(shop))
        assert planning.is_stale(shop)

    def test_a_clocking_makes_it_stale(self, operation, shop):
        start(operation, Hand.objects.get(name="Tom"), at=timezone.now())
        assert planning.is_stale(shop)

    def test_a_closure_and_its_end_make_it_stale(self, operation, shop):
        now = timezone.now()
        closed = close(shop, starts_at=now, ends_at=now + timedelta(1), reason="Stock-taking")
        assert planning.is_stale(shop)
        planned(shop)
        assert not planning.is_stale(shop)
        reopen(closed)
        assert planning.is_stale(shop)

    def test_a_new_order_makes_it_stale_and_an_enquiry_does_not(self, operation, shop):
        a_commission(shop)
        assert not planning.is_stale(shop)
        an_operation(an_order(shop))
        assert planning.is_stale(shop)

    def test_another_shop_does_not_matter(self, operation, shop):
        an_operation(an_order(a_workshop()))
        assert not planning.is_stale(shop)


class TestSweep:
    """The sweep asks for a plan where there is none or it is stale."""

    @pytest.fixture(autouse=True)
    def woken(self, monkeypatch):
        monkeypatch.setattr(jobs, "wake", lambda _: None)

    def test_it_asks_once(self, shop):
        an_operation(an_order(shop))
        assert planning.sweep() == 1
        assert planning.sweep() == 0
        assert Job.objects.filter(kind="plan").count() == 1

    def test_it_leaves_an_idle_shop_alone(self, shop):
        assert planning.sweep() == 0

    def test_it_waits_a_while_between_plans(self, shop, settings):
        operation = an_operation(an_order(shop))
        planned(shop)
        start(operation, Hand.objects.get(name="Tom"), at=timezone.now())
        assert planning.sweep() == 0
        Job.objects.update(made_at=timezone.now() - timedelta(seconds=settings.REPLAN_SECONDS + 1))
        assert planning.sweep() == 1

    def test_it_does_not_repeat_what_cannot_be_planned(self, shop, settings):
        settings.REPLAN_SECONDS = 0
        an_operation(an_order(shop), station_kind="mortiser")
        assert planning.sweep() == 1
        jobs.run(Job.objects.get().pk)
        assert planning.sweep() == 0
        a_station(shop, kind="mortiser")
        assert planning.sweep() == 1


class TestJob:
    """The job of planning under a lease."""

    def test_a_second_run_makes_no_second_plan(self, shop):
        an_operation(an_order(shop))
        job = jobs.ask("plan", shop)
        claim = jobs.claim(job.pk)
        planning.plan_workshop(claim)
        Job.objects.update(lease_until=timezone.now() - timedelta(seconds=1))
        jobs.run(job.pk)
        job.refresh_from_db()
        assert (job.state, job.attempts) == (Job.State.DONE, 2)
        assert Plan.objects.get().pk == job.result["plan"]

    def test_a_late_worker_stores_nothing(self, shop):
        an_operation(an_order(shop))
        job = jobs.ask("plan", shop)
        late = jobs.claim(job.pk)
        Job.objects.update(lease_until=timezone.now() - timedelta(seconds=1))
        jobs.claim(job.pk)
        with pytest.raises(Overtaken):
            planning.plan_workshop(late)
        assert not Plan.objects.exists()
        assert not Booking.objects.exists()

    def test_a_worker_overtaken_while_it_planned_stores_nothing(self, shop, monkeypatch):
        an_operation(an_order(shop))
        job = jobs.ask("plan", shop)
        late = jobs.claim(job.pk)
        make_plan = planning.make_plan

        def slowly(*args, **more):
            schedule = make_plan(*args, **more)
            Job.objects.update(lease_until=timezone.now() - timedelta(seconds=1))
            jobs.claim(job.pk)
            return schedule

        monkeypatch.setattr(planning, "make_plan", slowly)
        with pytest.raises(Overtaken):
            planning.plan_workshop(late)
        assert not Plan.objects.exists()

    def test_a_stop_keeps_the_best_plan_so_far(self, shop, monkeypatch):
        order = an_order(shop)
        for _ in range(3):
            an_operation(order)
        job = jobs.ask("plan", shop)
        read = planning.problem_for

        def and_stop(*args):
            jobs.stop(Job.objects.get(pk=job.pk))
            return read(*args)

        monkeypatch.setattr(planning, "problem_for", and_stop)
        jobs.run(job.pk)
        job.refresh_from_db()
        assert job.state == Job.State.STOPPED
        assert Plan.objects.get(pk=job.result["plan"]).bookings.count() == 3
        assert violations(Plan.objects.get()) == []

    def test_progress_is_written(self, shop):
        an_operation(an_order(shop))
        job = jobs.ask("plan", shop)
        claim = jobs.claim(job.pk)
        planning.plan_workshop(claim)
        job.refresh_from_db()
        assert job.step


def test_ask_for_plan_is_one_job_while_it_is_unfinished(shop, monkeypatch):
    monkeypatch.setattr(jobs, "wake", lambda _: None)
    assert planning.ask_for_plan(shop, by=None) == planning.ask_for_plan(shop, by=a_member(shop))


def test_reading_the_problem_takes_few_queries(shop, django_assert_max_num_queries):
    for _ in range(4):
        order = an_order(shop)
        first = an_operation(order)
        for _ in range(4):
            an_operation(order, after=[first])
    with django_assert_max_num_queries(12):
        problem_for(shop, timezone.now())


def test_old_superseded_plans_are_thrown_away(shop):
    for number in range(planning.KEPT_PLANS + 3):
        Plan.objects.create(
            workshop=shop, number=number, state="superseded", made_at=MONDAY, read_at=MONDAY
        )
    planning.tidy()
    assert Plan.objects.count() == planning.KEPT_PLANS
    assert Plan.objects.order_by("number").first().number == 3


def test_finished_work_leaves_the_next_plan(shop):
    operation = an_operation(an_order(shop), pieces=1)
    tom = Hand.objects.get(name="Tom")
    now = timezone.now()
    start(operation, tom, at=now - timedelta(minutes=5))
    finish(operation, tom, at=now, pieces=1)
    assert planned(shop).bookings.count() == 0


def test_a_released_order_is_planned_worked_and_planned_again():
    owner = a_member(a_workshop())
    workshop = found_workshop("Oak & Ash", owner)
    week = WorkingCalendar.objects.of(workshop).get()
    for kind in StationKind:
        if kind != StationKind.OUTWORK:
            add_station(workshop, name=kind.value, kind=kind.value, calendar=week)
    ines = add_hand(
        workshop, name="Ines", calendar=week, skills={skill.value: 2 for skill in Skill}
    )
    commission = a_commission(workshop, stage=Stage.ACCEPTED, due_on=date(2026, 12, 24))
    frame = an_assembly(commission, quantity=2)
    a_joint(frame, count=4)
    extra_work(frame)
    released = release(commission, by=owner)
    plan = planned(workshop)
    assert plan.bookings.count() == len(released) >= 4
    assert violations(plan) == []
    first = plan.bookings.select_related("operation").first().operation
    now = timezone.now()
    start(first, ines, at=now)
    finish(first, ines, at=now, pieces=first.pieces)
    again = planned(workshop)
    assert again.bookings.count() == len(released) - 1
    assert violations(again) == []
