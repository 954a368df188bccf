"""Whether the installation can serve."""

from datetime import timedelta

import pytest
from django.db import DatabaseError
from django.utils import timezone

from shop.models import Heartbeat
from shop.services import broker, health

pytestmark = pytest.mark.django_db


def test_a_worker_that_never_beat_is_said():
    found = health.readiness()
    assert found.is_ready
    assert "has not shown itself yet" in found.worker


def test_a_worker_that_beats_is_fine():
    health.beat()
    health.beat()
    assert health.readiness() == health.Readiness()
    assert Heartbeat.objects.count() == 1


def test_a_silent_worker_is_said():
    health.beat()
    later = timezone.now() + health.longest_silence() + timedelta(seconds=1)
    assert "has been silent since" in health.readiness(later).worker


def test_missing_migrations_are_counted(monkeypatch):
    monkeypatch.setattr(health, "missing_migrations", lambda: 3)
    found = health.readiness()
    assert (found.is_ready, found.faults) == (False, ("3 migrations are missing; run “migrate”.",))


def test_a_database_that_is_down_is_said(monkeypatch):
    def down():
        raise DatabaseError

    monkeypatch.setattr(health, "missing_migrations", down)
    assert health.readiness().faults == ("The database does not answer.",)


@pytest.fixture
def folder(settings, tmp_path):
    """A broker's folder of this test's own."""
    settings.CELERY_BROKER_URL = "filesystem://localhost//"
    settings.CELERY_BROKER_TRANSPORT_OPTIONS = {
        "data_folder_in": str(tmp_path / "broker"),
        "control_folder": str(tmp_path / "broker" / "control"),
    }
    return tmp_path / "broker"


def test_the_brokers_folders_are_made(folder):
    broker.make()
    broker.make()
    assert (folder / "control").is_dir()


def test_old_messages_are_thrown_away(folder):
    broker.make()
    (folder / "1_a.trenail.msg").write_text("{}")
    assert broker.tidy() == 0
    assert broker.tidy(older_than=-1) == 1
    assert list(folder.glob("*.msg")) == []


def test_a_broker_that_is_a_server_has_no_folder(settings):
    settings.CELERY_BROKER_URL = "redis://localhost"
    broker.make()
    assert (broker.folder(), broker.tidy()) == (None, 0)
