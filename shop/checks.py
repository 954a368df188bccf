"""System checks: a misconfiguration that can be seen stops the start with a sentence."""

from __future__ import annotations

import ctypes
import os
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from django.conf import settings
from django.core.checks import CheckMessage, Error, Tags, Warning, register
from django.db import connections

SQLITE = "django.db.backends.sqlite3"
PAPER_LIBRARIES = ("libpango-1.0.so.0", "libpangoft2-1.0.so.0", "libharfbuzz-subset.so.0")
PAPER_PACKAGES = "libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"
BROKERS = ("redis", "rediss", "unix")
SHORTEST_LEASE = 5


@register
def sqlite_options(**_: Any) -> list[CheckMessage]:
    """SQLite must wait for its turn before it reads what it will change."""
    found: list[CheckMessage] = []
    for alias, database in settings.DATABASES.items():
        if database["ENGINE"] != SQLITE:
            continue
        options = database.get("OPTIONS", {})
        if str(options.get("transaction_mode", "")).upper() != "IMMEDIATE":
            found.append(
                Error(
                    f"The SQLite database “{alias}” does not begin its transactions IMMEDIATE.",
                    hint="Set OPTIONS['transaction_mode'] to 'IMMEDIATE'; without it two people who"
                    " write at once get errors.",
                    id="shop.E001",
                )
            )
        if "journal_mode=wal" not in str(options.get("init_command", "")).lower().replace(" ", ""):
            found.append(_not_wal(alias))
    return found


@register(Tags.database)
def sqlite_journal(databases: Sequence[str] | None = None, **_: Any) -> list[CheckMessage]:
    """The file itself must be in WAL mode: some file systems refuse it."""
    found: list[CheckMessage] = []
    for alias in databases or ():
        connection = connections[alias]
        if connection.vendor != "sqlite":
            continue
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA journal_mode")
            row = cursor.fetchone()
        if row and str(row[0]).lower() not in ("wal", "memory"):
            found.append(_not_wal(alias))
    return found


def _not_wal(alias: str) -> Error:
    return Error(
        f"The SQLite database “{alias}” is not in WAL mode.",
        hint="Let init_command hold 'PRAGMA journal_mode=WAL' and keep the file on a local disk;"
        " without it readers and writers shut each other out.",
        id="shop.E002",
    )


@register
def paper_libraries(**_: Any) -> list[CheckMessage]:
    """Papers are set by Pango, which is a library of the system."""
    if not sys.platform.startswith("linux"):
        return []
    missing = [name for name in PAPER_LIBRARIES if not _can_load(name)]
    if not missing:
        return []
    return [
        Error(
            f"Papers cannot be printed: the system has no {', '.join(missing)}.",
            hint=f"On Debian: apt-get install {PAPER_PACKAGES}",
            id="shop.E003",
        )
    ]


def _can_load(library: str) -> bool:
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


@register
def broker(**_: Any) -> list[CheckMessage]:
    """Messages to the worker need a server with a known address or a folder that can be written."""
    return [*_broker_faults()]


def _broker_faults() -> Iterable[CheckMessage]:
    url = settings.CELERY_BROKER_URL
    options = settings.CELERY_BROKER_TRANSPORT_OPTIONS
    scheme = urlsplit(url).scheme
    if scheme == "filesystem":
        yield from _folder_faults(options)
    elif scheme not in BROKERS:
        yield Error(
            f"REDIS_URL begins with “{scheme}:”, which is no Redis address.",
            hint="Write redis://host:6379/0, rediss:// for TLS, or unix:// for a socket; or leave"
            " it out to do without a server.",
            id="shop.E004",
        )
    elif settings.DATABASES["default"]["ENGINE"] == SQLITE:
        yield Warning(
            "REDIS_URL is set, but the rows are in SQLite.",
            hint="That works on one machine only. Set DATABASE_URL to a PostgreSQL database before"
            " workers run elsewhere.",
            id="shop.W001",
        )
    if settings.JOB_LEASE_SECONDS < SHORTEST_LEASE:
        yield Error(
            f"TRENAIL_JOB_LEASE is {settings.JOB_LEASE_SECONDS} seconds; a slow report would lose"
            " the job.",
            hint=f"Give it at least {SHORTEST_LEASE} seconds.",
            id="shop.E006",
        )


def _folder_faults(options: dict[str, Any]) -> Iterable[CheckMessage]:
    incoming, outgoing = options.get("data_folder_in"), options.get("data_folder_out")
    if incoming != outgoing:
        yield Error(
            "The broker's folders for what comes in and what goes out differ.",
            hint="Web server and worker must share one folder: set TRENAIL_BROKER only once.",
            id="shop.E005",
        )
    elif not incoming or not os.access(_nearest(Path(str(incoming))), os.W_OK):
        yield Error(
            f"The broker's folder {incoming} cannot be written.",
            hint="Set TRENAIL_BROKER to a folder that the web server and the worker may both write.",
            id="shop.E005",
        )


def _nearest(folder: Path) -> Path:
    """The folder, or the nearest one above it that is there."""
    while not folder.exists() and folder != folder.parent:
        folder = folder.parent
    return folder
