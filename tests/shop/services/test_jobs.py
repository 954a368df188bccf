"""Rows first, messages second: claims, leases, fences, stops and sweeps."""

from datetime import timedelta

import pytest
from django.utils import timezone
from kombu.exceptions import OperationalError

from orders.core.errors import NotNow, NotReady
from shop.models import Job
from shop.services import jobs
from shop.services.jobs import Overtaken, Stopped
from tests.builders import a_workshop

pytestmark = pytest.mark.django_db
State = Job.State


@pytest.fixture
def works(monkeypatch):
    """A place for kinds of work that only tests know."""
    known = dict(jobs.WORKS)
    monkeypatch.setattr(jobs, "WORKS", known)
    return known


@pytest.fixture
def woken(monkeypatch):
    """The jobs a worker was told of, instead of running them."""
    told = []
    monkeypatch.setattr(jobs, "wake", told.append)
    return told


def a_job(**more):
    workshop = more.pop("workshop", None) or a_workshop()
    return Job.objects.create(workshop=workshop, **{"kind": "test", **more})


def lapse(job):
    """The worker is gone: its lease ran out."""
    Job.objects.filter(pk=job.pk).update(lease_until=timezone.now() - timedelta(seconds=1))


def test_a_job_is_done_where_it_is_sent(works, django_capture_on_commit_callbacks):
    works["test"] = lambda claim: {"doubled": 2 * claim.job.payload["number"]}
    with django_capture_on_commit_callbacks(execute=True):
        job = jobs.ask("test", a_workshop(), {"number": 21})
    job.refresh_from_db()
    assert (job.state, job.result, job.progress) == (State.DONE, {"doubled": 42}, 1.0)


def test_once_means_one_unfinished_job_for_each_workshop(woken):
    workshop, other = a_workshop(), a_workshop()
    first = jobs.ask("test", workshop, once="test")
    assert jobs.ask("test", workshop, once="test") == first
    assert jobs.ask("test", other, once="test") != first
    Job.objects.filter(pk=first.pk).update(state=State.DONE)
    assert jobs.ask("test", workshop, once="test") != first


def test_without_once_each_ask_is_a_job(woken):
    workshop = a_workshop()
    assert jobs.ask("test", workshop) != jobs.ask("test", workshop)


def test_a_job_is_claimed_by_one_worker_only():
    job = a_job()
    assert jobs.claim(job.pk) is not None
    assert jobs.claim(job.pk) is None


def test_a_lapsed_job_is_claimed_again_with_a_higher_fence():
    job = a_job()
    first = jobs.claim(job.pk)
    lapse(job)
    second = jobs.claim(job.pk)
    assert second.fence == first.fence + 1


def test_a_report_renews_the_lease(settings):
    settings.JOB_LEASE_SECONDS = 30
    job = a_job()
    claim = jobs.claim(job.pk)
    lapse(job)
    claim.report(0.4, "Sawing")
    job.refresh_from_db()
    assert job.lease_until > timezone.now()
    assert (job.progress, job.step) == (0.4, "Sawing")


def test_reports_that_follow_each_other_closely_are_skipped(django_assert_num_queries):
    claim = jobs.claim(a_job().pk)
    claim.report(0.1)
    with django_assert_num_queries(0):
        claim.report(0.2)


def test_a_late_worker_is_told_and_writes_nothing():
    job = a_job()
    late = jobs.claim(job.pk)
    lapse(job)
    jobs.claim(job.pk)
    with pytest.raises(Overtaken):
        late.report(0.9)
    with pytest.raises(Overtaken):
        late.hold()
    jobs.finish(late, State.DONE, result={"from": "the late one"})
    job.refresh_from_db()
    assert (job.state, job.result) == (State.RUNNING, None)


def test_an_overtaken_job_is_left_to_the_other_worker(works):
    job = a_job()

    def overtaken(claim):
        lapse(job)
        jobs.claim(job.pk)
        claim.hold()

    works["test"] = overtaken
    jobs.run(job.pk)
    job.refresh_from_db()
    assert (job.state, job.fence) == (State.RUNNING, 2)


def test_a_finished_job_is_not_run_again(works):
    runs = []
    works["test"] = lambda claim: runs.append(claim.fence)
    job = a_job()
    jobs.run(job.pk)
    jobs.run(job.pk)
    assert runs == [1]


def test_the_sentence_of_an_error_is_the_jobs_problem(works):
    def refuse(_):
        raise NotReady("There is no saw.")

    works["test"] = refuse
    job = a_job()
    jobs.run(job.pk)
    job.refresh_from_db()
    assert (job.state, job.problem) == (State.FAILED, "There is no saw.")


def test_a_bug_ends_the_job_and_is_not_hidden(works):
    works["test"] = lambda _: 1 / 0
    job = a_job()
    with pytest.raises(ZeroDivisionError):
        jobs.run(job.pk)
    job.refresh_from_db()
    assert (job.state, job.problem) == (State.FAILED, jobs.OUR_FAULT)


def test_an_unknown_kind_ends_as_failed():
    job = a_job(kind="unheard-of")
    with pytest.raises(KeyError):
        jobs.run(job.pk)
    job.refresh_from_db()
    assert job.state == State.FAILED


def test_a_waiting_job_stops_at_once_and_is_never_run(works):
    runs = []
    works["test"] = runs.append
    job = a_job()
    jobs.stop(job)
    jobs.run(job.pk)
    job.refresh_from_db()
    assert (job.state, runs) == (State.STOPPED, [])


def test_a_running_job_stops_at_its_next_report(works):
    job = a_job()

    def slow(claim):
        jobs.stop(claim.job)
        claim.report(0.5)
        raise AssertionError("the report should have raised")

    works["test"] = slow
    jobs.run(job.pk)
    job.refresh_from_db()
    assert job.state == State.STOPPED


def test_a_stopped_job_keeps_what_it_has(works):
    def kept(_):
        raise Stopped({"plan": 7})

    works["test"] = kept
    job = a_job()
    jobs.run(job.pk)
    job.refresh_from_db()
    assert (job.state, job.result) == (State.STOPPED, {"plan": 7})


def test_a_finished_job_cannot_be_stopped(works):
    works["test"] = lambda _: None
    job = a_job()
    jobs.run(job.pk)
    with pytest.raises(NotNow, match="already ended"):
        jobs.stop(job)


def test_the_sweep_wakes_what_was_lost(woken, settings):
    settings.SWEEP_SECONDS = 10
    fresh, forgotten, lapsed = a_job(), a_job(), a_job()
    long_ago = timezone.now() - timedelta(minutes=1)
    Job.objects.filter(pk=forgotten.pk).update(made_at=long_ago)
    jobs.claim(lapsed.pk)
    lapse(lapsed)
    assert jobs.sweep() == 2
    assert set(woken) == {forgotten.pk, lapsed.pk}
    assert fresh.pk not in woken


def test_the_sweep_wakes_a_few_at_a_time(woken):
    workshop = a_workshop()
    for _ in range(jobs.MOST_WOKEN + 5):
        a_job(workshop=workshop)
    Job.objects.update(made_at=timezone.now() - timedelta(minutes=1))
    assert jobs.sweep() == jobs.MOST_WOKEN


def test_the_sweep_gives_up_on_a_job_that_kills_its_workers(woken):
    job = a_job()
    for _ in range(jobs.MOST_ATTEMPTS):
        assert jobs.claim(job.pk)
        lapse(job)
    assert jobs.claim(job.pk) is None
    jobs.sweep()
    job.refresh_from_db()
    assert (job.state, job.problem) == (State.FAILED, jobs.LOST)
    assert woken == []


def test_the_sweep_stops_what_was_to_stop_when_its_worker_died(woken):
    job = a_job()
    jobs.claim(job.pk)
    jobs.stop(job)
    lapse(job)
    jobs.sweep()
    job.refresh_from_db()
    assert (job.state, woken) == (State.STOPPED, [])


def test_a_broker_that_is_down_loses_nothing(monkeypatch, django_capture_on_commit_callbacks):
    from shop import tasks

    def down(*_):
        raise OperationalError("nobody there")

    monkeypatch.setattr(tasks.run_job, "delay", down)
    with django_capture_on_commit_callbacks(execute=True):
        job = jobs.ask("test", a_workshop())
    job.refresh_from_db()
    assert job.state == State.WAITING


def test_old_jobs_are_thrown_away():
    old, recent, open_ = a_job(), a_job(), a_job()
    long_ago = timezone.now() - timedelta(days=jobs.KEPT_DAYS + 1)
    Job.objects.filter(pk=old.pk).update(state=State.DONE, ended_at=long_ago)
    Job.objects.filter(pk=recent.pk).update(state=State.DONE, ended_at=timezone.now())
    jobs.tidy()
    assert set(Job.objects.all()) == {recent, open_}
