"""What every test may ask for."""

import pytest
from django.conf import settings


@pytest.fixture(autouse=True)
def _quick_and_quiet(settings, tmp_path):
    """Fast password hashing, mail kept in memory, tasks run where they are sent."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    settings.STORAGES = {
        **settings.STORAGES,
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
    }
    settings.SECURE_SSL_REDIRECT = False


def pytest_configure() -> None:
    """Tasks run in the test's own process unless a test starts a worker."""
    from shop.celery import app

    app.conf.task_always_eager = True
    app.conf.task_eager_propagates = True
    assert settings.configured
