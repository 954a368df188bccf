"""What every test may ask for, and the rule that nothing is skipped when everything is on."""

import os
from pathlib import Path

import pytest
from hypothesis import settings as hypothesis_settings

CHROMIUM = Path("/usr/bin/chromium")
EVERYTHING = os.environ.get("TRENAIL_TEST_EVERYTHING") == "yes"
SKIPPED: list[str] = []
TOLD_ONCE = ("costing/management/test_demo.py",)
"""Files whose tests share what takes long to make; each goes whole to one process."""

os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")


@pytest.fixture(autouse=True)
def _quick_and_quiet(settings):
    """Fast password hashing, plain static files, no forced HTTPS."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    settings.STORAGES = {
        **settings.STORAGES,
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
    }
    settings.SECURE_SSL_REDIRECT = False


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args):
    """Debian's Chromium."""
    return {
        **browser_type_launch_args,
        "executable_path": str(CHROMIUM),
        "args": ["--disable-dev-shm-usage"],
    }


def pytest_configure() -> None:
    """Tasks run in the test's own process unless a test starts a worker; files are served as they are.

    No test is held to a time: how long one takes is measured in tests/benchmarks.
    """
    hypothesis_settings.register_profile("untimed", deadline=None)
    hypothesis_settings.load_profile("untimed")
    from django.conf import settings

    from shop.celery import app

    settings.STATIC_ROOT = settings.ROOT / "shop" / "static"
    app.conf.task_always_eager = True
    app.conf.task_eager_propagates = True


def pytest_collection_modifyitems(items) -> None:
    """Leave out what this machine cannot run; with everything on, that fails below."""
    for item in items:
        if "browser" in item.keywords and not CHROMIUM.exists():
            item.add_marker(pytest.mark.skip(reason="Debian's chromium is not installed"))
        if "service" in item.keywords and not os.environ.get("REDIS_URL"):
            item.add_marker(pytest.mark.skip(reason="runs with PostgreSQL and Redis only"))


def pytest_xdist_make_scheduler(config, log):
    """Every test goes to the process that is free, but for the files that stay together.

    The marks for that of pytest-xdist 3.8 have no effect with pytest 9.2.
    """
    from xdist.scheduler import LoadGroupScheduling

    class ByTest(LoadGroupScheduling):
        def _split_scope(self, nodeid: str) -> str:
            file = nodeid.split("::", 1)[0]
            return file if file.endswith(TOLD_ONCE) else nodeid

    return ByTest(config, log) if config.getvalue("dist") == "loadgroup" else None


def pytest_runtest_logreport(report) -> None:
    """Remember what was skipped for want of something."""
    if report.skipped and "runs with PostgreSQL and Redis only" not in str(report.longrepr):
        SKIPPED.append(report.nodeid)


def pytest_sessionfinish(session, exitstatus) -> None:
    """With everything on, a skipped test is a failed run."""
    if EVERYTHING and SKIPPED and exitstatus == 0:
        session.exitstatus = 1


def pytest_terminal_summary(terminalreporter) -> None:
    """Say which tests were skipped although everything is on."""
    if EVERYTHING and SKIPPED:
        terminalreporter.write_line("Skipped with everything on: " + ", ".join(SKIPPED), red=True)
