"""The wall chart and the making of plans."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from shop.models import Job, Plan, Station
from shop.services import jobs
from shop.services.calendars import close
from shop.services.clocking import start
from tests.builders import an_operation, an_order

from .conftest import book

pytestmark = pytest.mark.django_db


def chart(floor, user=None, **query) -> str:
    answer = floor.as_(user or floor.foreman).get(reverse("wall-chart"), query)
    assert answer.status_code == 200
    return answer.content.decode()


def test_every_bar_is_a_link_with_its_words(floor):
    page = chart(floor)
    assert f'<a class="move" href="{reverse("pin", args=[floor.first.pk])}"' in page
    reader = chart(floor, floor.estimator)
    assert f'<a href="{reverse("commission", args=[floor.order.pk])}" aria-label="' in reader
    assert f"{floor.first.mark} Hall bench, Fit the seat" in page
    assert '<g role="group" aria-label="Bench 1' in page


def test_the_same_chart_by_hand_and_as_rows(floor):
    assert '<g role="group" aria-label="Rowan' in chart(floor, by="hand")
    rows = chart(floor, **{"as": "rows"})
    assert '<svg class="chart bars"' not in rows
    assert ">Fit the seat</a></td>" in rows
    assert "<td>Rowan</td>" in rows


def test_the_followed_order_has_the_oak_ground(floor):
    assert 'class="bar mine' in chart(floor, order=floor.order.pk)
    assert 'class="bar mine' not in chart(floor)


def test_an_order_of_another_workshop_cannot_be_followed(floor, elsewhere):
    answer = elsewhere.get(reverse("wall-chart"), {"order": floor.order.pk})
    assert answer.status_code == 404


@pytest.mark.parametrize("on", ["", "yesterday", "2026-02-31", "0001-01-01", "9999-12-31"])
def test_a_day_that_is_none_shows_this_week(floor, on):
    assert f"Week {timezone.localdate():%V}" in chart(floor, on=on)


def test_chart_and_day_sheets_open_where_the_plan_next_has_work(floor):
    ahead = timezone.now().replace(hour=9, minute=0) + timedelta(days=15)
    floor.plan.bookings.exclude(operation=floor.first).delete()
    booking = floor.plan.bookings.get()
    last_week, next_month = timedelta(days=-7), timedelta(days=1)
    spans = [(ahead + 4 * last_week, 1), (ahead, 2), (ahead + next_month, 1)]
    booking.starts_at, booking.ends_at = spans[0][0], spans[2][0] + timedelta(hours=1)
    booking.stretches = [
        [start.isoformat(), (start + timedelta(hours=hours)).isoformat()] for start, hours in spans
    ]
    booking.save()
    client = floor.as_(floor.foreman)

    assert f"<h1>Week {ahead:%V}</h1>" in chart(floor)
    sheets = client.get(reverse("day-sheets")).content.decode()
    assert f"<h1>{ahead:%a} {ahead.day} {ahead:%b}</h1>" in sheets
    assert "Fit the seat" in sheets
    between = {"on": f"{ahead - timedelta(days=1):%Y-%m-%d}"}
    assert "Fit the seat" not in client.get(reverse("day-sheets"), between).content.decode()


def test_a_plan_says_how_near_it_is_to_what_is_proved(floor):
    order = an_order(floor.workshop, due_on=timezone.localdate() - timedelta(days=9))
    start = timezone.now() + timedelta(hours=1)
    book(
        floor.plan, an_operation(order), start, start + timedelta(hours=1), floor.bench, floor.hand
    )
    floor.plan.is_proved, floor.plan.late_min, floor.plan.lower_bound = False, 14000, 13990
    floor.plan.objective = {"evaluations": 1342437}
    floor.plan.save()

    page = chart(floor).replace("\u00a0", " ")
    assert "No plan can be better by more than 10 min; that is proved." in page
    assert "1,342,437 plans were tried." in page
    floor.plan.objective = {"bounds_lateness": False}
    floor.plan.save()
    assert "It is the best that was found" in chart(floor)


@pytest.mark.parametrize(
    ("scale", "words"), [("day", "1 day"), ("month", "4 weeks"), ("quarter", "1 quarter")]
)
def test_a_day_four_weeks_and_a_quarter_are_drawn(floor, scale, words):
    page = chart(floor, scale=scale)
    assert f'aria-current="true">{words}</a>' in page
    assert (' data-chart="station"' in page) == (scale != "quarter")


def test_overtime_is_said_and_underlined(floor):
    booking = floor.first.bookings.get()
    booking.overtime = booking.stretches
    booking.save()
    page = chart(floor)
    assert "0.8 h overtime" in page
    assert "<span>overtime</span>" in page
    assert "45 min overtime" in chart(floor, **{"as": "rows"}).replace("\u00a0", " ")


def test_what_is_sent_away_says_when_it_goes_out_and_is_back(floor):
    booking = floor.plan.bookings.get(operation=floor.first)
    leaves = booking.ends_at.replace(hour=10, minute=0, second=0, microsecond=0) + timedelta(days=1)
    back = leaves + timedelta(days=5)
    floor.plan.bookings.filter(pk=booking.pk).update(leaves_at=leaves, returns_at=back)
    out, home = (f"{at:%a} {at.day} {at:%b}" for at in map(timezone.localtime, (leaves, back)))
    assert f", goes out {out} 10:00, back {home} 10:00" in chart(floor)
    rows = chart(floor, **{"as": "rows"})
    assert "goes out" in rows
    client = floor.as_(floor.foreman)
    on = timezone.localtime(booking.starts_at).date()
    for page in ("day-sheets", "hand-day"):
        address = reverse(page, args=[floor.hand.pk] if page == "hand-day" else [])
        sheet = client.get(address, {"on": on.isoformat()}).content.decode()
        assert "oes out" in sheet
        assert "back" in sheet


def test_what_a_plan_costs_stands_beside_what_it_takes(floor):
    floor.plan.objective = {
        "weighted_lateness_min": 60.0,
        "setup_min": 30.0,
        "late_orders": [floor.order.pk],
        "costs": {"lateness": 60.0, "setup": 15.0, "late_orders": 480.0},
    }
    floor.plan.save()
    page = chart(floor)
    assert "counts as late" in page
    assert '<td>orders late at all</td><td class="num">1</td>' in page


def test_a_plan_in_an_order_says_it_beside_what_each_measure_would_count(floor):
    floor.plan.objective = {
        "weighted_lateness_min": 60.0,
        "setup_min": 30.0,
        "late_orders": [floor.order.pk],
        "costs": {"lateness": 60.0, "setup": 15.0},
        "order": ["late_orders", "setup"],
    }
    floor.plan.save()
    page = chart(floor)
    assert '<th scope="col" class="num">weighed</th>' in page
    assert '<td>1.</td><td>orders late at all</td><td class="num">1</td>' in page
    assert "<td>2.</td><td>set-ups</td>" in page
    assert '<td><span class="quiet">not</span></td><td>late, by importance</td>' in page


def test_an_order_says_what_it_has_to_spare(floor):
    page = chart(floor, by="order")
    assert f'<g role="group" aria-label="{floor.order.mark} Hall bench, due ' in page
    assert " to spare" in page
    assert '<path class="spare" d="M' in page
    assert " to spare" in chart(floor, by="order", **{"as": "rows"})


def test_late_work_is_said_in_words_and_in_the_table(floor):
    order = an_order(floor.workshop, title="Stair caps", due_on=timezone.localdate())
    operation = an_operation(order)
    end = timezone.now() + timedelta(days=2)
    book(floor.plan, operation, end - timedelta(hours=2), end, floor.bench, floor.hand)
    page = chart(floor)
    assert "1 order is late" in page
    assert f"{order.mark} Stair caps" in page


def test_what_runs_is_marked_and_what_is_closed_says_why(floor):
    start(floor.first, floor.hand, at=timezone.now() - timedelta(seconds=30), station=floor.bench)
    close(
        floor.workshop,
        station=Station.objects.get(name="Saw"),
        starts_at=timezone.now() - timedelta(hours=1),
        ends_at=timezone.now() + timedelta(days=9),
        reason="new blade",
    )
    page = chart(floor)
    assert ", running" in page
    assert 'aria-label="closed: new blade"' in page


def test_how_good_the_plan_is_stands_in_words(floor):
    page = chart(floor)
    assert "No plan of this work" in page
    assert "earliest due date" in page


def test_who_may_not_plan_sees_no_button(floor):
    assert "Plan again" in chart(floor)
    assert "Plan again" not in chart(floor, floor.estimator)
    client = floor.as_(floor.estimator)
    assert client.post(reverse("plan-again")).status_code == 403
    assert client.post(reverse("adopt-plan", args=[floor.plan.pk])).status_code == 403


def test_an_empty_shop_is_told_what_is_missing(floor):
    Plan.objects.all().delete()
    assert "Plan the work" in chart(floor)
    floor.order.stage = "delivered"
    floor.order.save()
    assert "Nothing is released yet" in chart(floor)
    Station.objects.update(is_in_use=False)
    assert "There is nothing to plan with yet" in chart(floor)


def test_planning_shows_how_far_it_is_and_can_be_stopped(floor, monkeypatch):
    monkeypatch.setattr(jobs, "wake", lambda job_id: None)
    client = floor.as_(floor.foreman)
    client.post(reverse("plan-again"))
    job = Job.objects.get()
    page = chart(floor)
    assert f'data-line="{reverse("job-line", args=[job.pk])}"' in page
    assert "Stop planning" in page
    client.post(reverse("plan-again"))
    assert Job.objects.count() == 1
    client.post(reverse("stop-job", args=[job.pk]), {"next": reverse("wall-chart")})
    job.refresh_from_db()
    assert job.state == Job.State.STOPPED


def test_planning_makes_a_proposal_that_is_adopted(
    floor, settings, django_capture_on_commit_callbacks
):
    settings.PLANNING_SECONDS = 1
    client = floor.as_(floor.foreman)
    with django_capture_on_commit_callbacks(execute=True):
        client.post(reverse("plan-again"))
    proposal = Plan.objects.get(state=Plan.State.PROPOSED)
    page = chart(floor)
    assert "This is a proposal" in page
    assert "Adopt this plan" in page
    assert "Adopt this plan" not in chart(floor, floor.estimator)
    client.post(reverse("adopt-plan", args=[proposal.pk]))
    proposal.refresh_from_db()
    assert (proposal.state, proposal.adopted_by) == (Plan.State.ADOPTED, floor.foreman)
    again = client.post(reverse("adopt-plan", args=[proposal.pk]), follow=True)
    assert "no longer a proposal" in again.content.decode()


def test_planning_that_failed_says_why(floor):
    Job.objects.create(
        workshop=floor.workshop, kind="plan", state=Job.State.FAILED, problem="Nobody can saw."
    )
    floor.plan.made_at = timezone.now() - timedelta(hours=1)
    floor.plan.save()
    assert "Nobody can saw." in chart(floor)


def test_the_plan_of_another_workshop_is_not_found(floor, elsewhere):
    assert elsewhere.get(reverse("wall-chart"), {"plan": 7}).status_code == 404
    assert elsewhere.post(reverse("adopt-plan", args=[floor.plan.pk])).status_code == 404


def test_many_bars_cost_no_more_queries(floor, django_assert_max_num_queries):
    order = an_order(floor.workshop)
    now = timezone.now()
    for index in range(12):
        begin = now + timedelta(minutes=5 * index)
        book(
            floor.plan,
            an_operation(order),
            begin,
            begin + timedelta(minutes=5),
            floor.bench,
            floor.hand,
        )
    client = floor.as_(floor.foreman)
    with django_assert_max_num_queries(40):
        client.get(reverse("wall-chart"))
