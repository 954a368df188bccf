"""A misconfiguration is refused with a sentence before anything starts."""

from types import SimpleNamespace

import pytest

from shop import checks

SQLITE = "django.db.backends.sqlite3"


def faults(check, **more):
    return [fault.id for fault in check(**more)]


@pytest.fixture
def sqlite(settings, monkeypatch):
    """Lets a test give the options of the SQLite database, and the address of the broker."""

    def given(broker="filesystem://", **options):
        told = SimpleNamespace(
            DATABASES={"default": {"ENGINE": SQLITE, **options}},
            CELERY_BROKER_URL=broker,
            CELERY_BROKER_TRANSPORT_OPTIONS={},
            JOB_LEASE_SECONDS=settings.JOB_LEASE_SECONDS,
        )
        monkeypatch.setattr(checks, "settings", told)

    return given


def test_sqlite_as_it_is_set_up_here_passes(sqlite):
    sqlite(OPTIONS={"transaction_mode": "IMMEDIATE", "init_command": "PRAGMA journal_mode = WAL;"})
    assert checks.sqlite_options() == []


def test_sqlite_without_immediate_transactions_is_refused(sqlite):
    sqlite(OPTIONS={"init_command": "PRAGMA journal_mode=WAL"})
    (fault,) = checks.sqlite_options()
    assert fault.id == "shop.E001"
    assert "does not begin its transactions IMMEDIATE" in fault.msg


def test_sqlite_without_wal_is_refused(sqlite):
    sqlite(OPTIONS={"transaction_mode": "IMMEDIATE"})
    (fault,) = checks.sqlite_options()
    assert fault.id == "shop.E002"
    assert "not in WAL mode" in fault.msg


@pytest.mark.django_db
def test_the_database_of_these_tests_passes():
    assert checks.sqlite_journal(databases=["default"]) == []


def test_missing_paper_libraries_are_named_with_their_packages(monkeypatch):
    monkeypatch.setattr(checks, "_can_load", lambda name: "pango" not in name)
    (fault,) = checks.paper_libraries()
    assert "no libpango-1.0.so.0, libpangoft2-1.0.so.0" in fault.msg
    assert "apt-get install libpango-1.0-0" in fault.hint


def test_present_paper_libraries_pass(monkeypatch):
    monkeypatch.setattr(checks, "_can_load", lambda _: True)
    assert checks.paper_libraries() == []


def test_an_address_that_is_no_redis_is_refused(settings):
    settings.CELERY_BROKER_URL = "http://localhost"
    settings.CELERY_BROKER_TRANSPORT_OPTIONS = {}
    assert "shop.E004" in faults(checks.broker)


def test_redis_with_sqlite_is_warned_of(sqlite):
    sqlite(broker="redis://localhost")
    assert faults(checks.broker) == ["shop.W001"]


def test_folders_that_differ_are_refused(settings, tmp_path):
    settings.CELERY_BROKER_URL = "filesystem://localhost//"
    settings.CELERY_BROKER_TRANSPORT_OPTIONS = {
        "data_folder_in": str(tmp_path / "a"),
        "data_folder_out": str(tmp_path / "b"),
    }
    assert faults(checks.broker) == ["shop.E005"]


def test_a_folder_that_cannot_be_written_is_refused(settings, monkeypatch):
    settings.CELERY_BROKER_URL = "filesystem://localhost//"
    settings.CELERY_BROKER_TRANSPORT_OPTIONS = {
        "data_folder_in": "/proc/broker",
        "data_folder_out": "/proc/broker",
    }
    monkeypatch.setattr(checks.os, "access", lambda *_: False)
    (fault,) = checks.broker()
    assert "folder /proc/broker cannot be written" in fault.msg


def test_a_folder_yet_to_be_made_passes(settings, tmp_path):
    settings.CELERY_BROKER_URL = "filesystem://localhost//"
    folder = str(tmp_path / "not" / "yet")
    settings.CELERY_BROKER_TRANSPORT_OPTIONS = {
        "data_folder_in": folder,
        "data_folder_out": folder,
    }
    assert faults(checks.broker) == []


def test_a_lease_shorter_than_a_slow_report_is_refused(settings):
    settings.JOB_LEASE_SECONDS = 1
    assert "shop.E006" in faults(checks.broker)
