"""Jobs in a real worker: on SQLite with a folder of messages, or on PostgreSQL with Redis."""

import threading
from datetime import date, timedelta
from time import monotonic

import pytest
from django.conf import settings
from django.db import connection
from django.utils import timezone
from kombu import pools

from shop.celery import app
from shop.models import Booking, Job, Plan
from shop.services import health, jobs, planning
from tests.builders import a_calendar, a_hand, a_station, a_workshop, an_operation, an_order
from tests.shop.worker import LEASE, Worker, redis_url, wait_until

pytestmark = [pytest.mark.slow, pytest.mark.django_db(transaction=True)]
State = Job.State


@pytest.fixture
def folder(tmp_path):
    """Messages of this process go where the worker of this test looks."""
    broker = tmp_path / "broker"
    (broker / "control").mkdir(parents=True)
    options = dict(settings.CELERY_BROKER_TRANSPORT_OPTIONS)
    address = redis_url() or settings.CELERY_BROKER_URL
    if not settings.REDIS_URL:
        options |= {
            "data_folder_in": str(broker),
            "data_folder_out": str(broker),
            "control_folder": str(broker / "control"),
        }
    names = ("broker_url", "broker_transport_options", "task_always_eager")
    before = {name: app.conf[name] for name in names}
    forget_connections()
    app.conf.update(zip(names, (address, options, False), strict=True))
    yield tmp_path
    app.conf.update(before)
    forget_connections()


def forget_connections():
    """Celery keeps its connections; each test needs its own."""
    pools.reset()
    app._pool = None
    app.amqp._producer_pool = None


@pytest.fixture
def worker(folder):
    """A worker that the test starts, and that is stopped in the end."""
    made = Worker(folder)
    yield made
    made.end()


@pytest.fixture
def shop():
    """A shop with more to do than can be proved to be planned best."""
    workshop = a_workshop()
    week = a_calendar(workshop)
    for name in ("A", "B", "C"):
        a_station(workshop, name=name, calendar=week)
    for name in ("Ines", "Tom", "Uma", "Jo"):
        a_hand(workshop, name=name, calendar=week)
    for number in range(15):
        due = date(2026, 1, 5) + timedelta(days=number)
        order = an_order(workshop, due_on=due, weight=1 + number % 4)
        before = []
        for step in range(10):
            each = 7.0 + (number * 13 + step * 29) % 90
            before = [an_operation(order, after=before, each_min=each)]
    return workshop


def fresh(job: Job) -> Job:
    """The job as it is now."""
    return Job.objects.get(pk=job.pk)


def ended(job: Job):
    return fresh(job) if fresh(job).is_finished else None


def running(job: Job):
    found = fresh(job)
    return found if found.state == State.RUNNING and found.progress > 0 else None


def booked_twice(plan: Plan) -> list[tuple[int, int]]:
    """Pairs of bookings that have the same hand or the same station at the same time."""
    rows = list(plan.bookings.order_by("starts_at"))
    return [
        (a.pk, b.pk)
        for i, a in enumerate(rows)
        for b in rows[i + 1 :]
        if b.starts_at < a.ends_at and (a.hand_id == b.hand_id or a.station_id == b.station_id)
    ]


def test_a_job_comes_back_quickly(worker):
    worker.start()
    workshop = a_workshop()
    warm = jobs.ask("nothing", workshop)
    wait_until(lambda: ended(warm))
    times = []
    for _ in range(10):
        began = monotonic()
        job = jobs.ask("nothing", workshop)
        wait_until(lambda job=job: ended(job), every=0.005)
        times.append(monotonic() - began)
    assert sorted(times)[5] < 0.5, times


def test_a_plan_is_made_and_the_worker_beats(worker, shop):
    worker.start()
    job = planning.ask_for_plan(shop, by=None)
    assert wait_until(lambda: ended(job)).state == State.DONE
    plan = Plan.objects.get(pk=fresh(job).result["plan"])
    assert plan.bookings.count() == 150
    assert booked_twice(plan) == []
    wait_until(lambda: health.readiness().worker == "")


def test_a_worker_killed_while_it_plans_is_made_up_for_when_the_lease_ends(worker, shop):
    worker.environment["TRENAIL_PLANNING_SECONDS"] = "8"
    worker.start()
    job = planning.ask_for_plan(shop, by=None)
    lease = wait_until(lambda: running(job)).lease_until
    worker.kill()
    worker.environment["TRENAIL_PLANNING_SECONDS"] = "1"
    worker.start()
    done = wait_until(lambda: ended(job))
    assert (done.state, done.attempts, done.fence) == (State.DONE, 2, 2)
    assert done.started_at >= lease
    assert done.started_at - lease < timedelta(seconds=LEASE + 5)
    assert Plan.objects.count() == 1
    assert Booking.objects.count() == 150


def test_finished_work_is_not_done_again_when_its_worker_dies_late(worker, shop):
    """The plan was stored, but the worker died before it could write that the job is done."""
    settings_seconds, settings.PLANNING_SECONDS = settings.PLANNING_SECONDS, 1
    job = Job.objects.create(workshop=shop, kind="plan", once="plan")
    planning.plan_workshop(jobs.claim(job.pk))
    settings.PLANNING_SECONDS = settings_seconds
    Job.objects.update(lease_until=timezone.now() - timedelta(seconds=1))
    worker.start()
    done = wait_until(lambda: ended(job))
    assert (done.state, done.attempts) == (State.DONE, 2)
    assert done.result["plan"] == Plan.objects.get().pk


def test_a_plan_is_stopped_and_its_best_is_kept(worker, shop):
    worker.environment["TRENAIL_PLANNING_SECONDS"] = "20"
    worker.start()
    job = planning.ask_for_plan(shop, by=None)
    wait_until(lambda: running(job))
    began = monotonic()
    jobs.stop(job)
    done = wait_until(lambda: ended(job))
    assert monotonic() - began < 6
    assert done.state == State.STOPPED
    assert booked_twice(Plan.objects.get(pk=done.result["plan"])) == []


def test_a_lost_message_is_found_by_the_sweep(worker, shop, monkeypatch):
    monkeypatch.setattr(jobs, "wake", lambda _: None)
    job = planning.ask_for_plan(shop, by=None)
    worker.start()
    assert wait_until(lambda: ended(job)).state == State.DONE


def test_the_sweep_plans_a_shop_that_nobody_planned(worker, shop):
    worker.start()
    wait_until(lambda: Plan.objects.in_force().of(shop).exists())


def in_threads(count, function):
    """Run it in so many threads at once; what each gave or raised."""
    found, gate = [], threading.Barrier(count)

    def one(number):
        try:
            gate.wait()
            found.append(function(number))
        except Exception as error:
            found.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=one, args=(number,)) for number in range(count)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return found


def test_two_who_ask_at_once_get_one_job(folder, shop):
    asked = in_threads(6, lambda _: planning.ask_for_plan(shop, by=None).pk)
    assert len(set(asked)) == 1
    assert Job.objects.count() == 1


def test_two_workers_who_claim_at_once_share_nothing(folder, shop):
    job = Job.objects.create(workshop=shop, kind="nothing")
    claims = in_threads(6, lambda _: jobs.claim(job.pk))
    assert sum(claim is not None for claim in claims) == 1


def test_two_planners_at_once_store_two_numbered_plans_and_adopt_one(folder, shop):
    settings_seconds, settings.PLANNING_SECONDS = settings.PLANNING_SECONDS, 1
    made = [Job.objects.create(workshop=shop, kind="plan") for _ in range(2)]
    errors = in_threads(2, lambda number: jobs.run(made[number].pk))
    settings.PLANNING_SECONDS = settings_seconds
    assert errors == [None, None]
    assert Plan.objects.in_force().count() == 1
    assert sorted(Plan.objects.values_list("number", flat=True)) == [1, 2]
