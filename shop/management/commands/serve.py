"""Serves the workshop: web server, worker and periodic tasks in one command."""

from __future__ import annotations

import socket
import sys
from argparse import ArgumentParser
from contextlib import closing
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from shop.management.supervisor import Child, Supervisor
from shop.services import broker
from shop.services.health import missing_migrations


class Command(BaseCommand):
    """The `serve` command."""

    help = "Serve the workshop: web server, worker and periodic tasks together."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--host", default="127.0.0.1", help="the address to listen on")
        parser.add_argument("--port", type=int, default=8000, help="the port to listen on")
        parser.add_argument("--web-workers", type=int, default=2, help="web server processes")
        parser.add_argument("--threads", type=int, default=4, help="threads in each of them")
        parser.add_argument("--jobs", type=int, default=2, help="jobs that may run at once")
        parser.add_argument("--grace", type=float, default=20, help="seconds to finish at the end")
        parser.add_argument("--no-web", action="store_true", help="only the worker")
        parser.add_argument("--no-worker", action="store_true", help="only the web server")
        parser.add_argument(
            "--no-beat",
            action="store_true",
            help="no periodic tasks here: exactly one machine of several should run them",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Make ready, then run until told to stop."""
        children = children_for(options)
        if not children:
            raise CommandError("With --no-web and --no-worker there is nothing to serve.")
        self.prepare(options)
        supervisor = Supervisor(children, grace=options["grace"], say=self.say)
        greeting = Greeting(self, options)
        supervisor.run(each_tick=greeting.say_once)
        self.say("Stopped.")

    def prepare(self, options: dict[str, Any]) -> None:
        """Refuse to start what could not run, and make what it needs."""
        self.check(databases=["default"])
        missing = missing_migrations()
        if missing:
            raise CommandError(
                f"{missing} migrations are missing. Run “python -m shop migrate” first."
            )
        broker.make()
        if not options["no_web"]:
            require_free(options["host"], options["port"])
            if not settings.DEBUG:
                call_command("collectstatic", interactive=False, verbosity=0)

    def say(self, sentence: str) -> None:
        """One line on the terminal, at once."""
        self.stdout.write(sentence)
        self.stdout.flush()


class Greeting:
    """Says where the workshop is, once it answers."""

    def __init__(self, command: Command, options: dict[str, Any]) -> None:
        self.command = command
        self.host, self.port = options["host"], options["port"]
        self.is_said = options["no_web"]

    def say_once(self) -> None:
        """Say it at the first tick at which the web server answers."""
        if self.is_said or not answers(self.host, self.port):
            return
        self.is_said = True
        self.command.say(f"Trenail is at http://{shown(self.host)}:{self.port}/")
        if settings.SECURE_SSL_REDIRECT:
            self.command.say(
                "It expects a proxy that speaks HTTPS. To use it on this machine alone,"
                " set TRENAIL_HTTPS=no."
            )


def children_for(options: dict[str, Any]) -> list[Child]:
    """The processes that are asked for."""
    children = []
    if not options["no_web"]:
        children.append(Child("web server", web_command(options)))
    if not options["no_worker"]:
        names = [f"worker {number}" for number in range(1, options["jobs"] + 1)]
        children += [Child(name, worker_command(name)) for name in names]
        if not options["no_beat"]:
            children.append(Child("clock", beat_command()))
    return children


def web_command(options: dict[str, Any]) -> list[str]:
    """How the web server is started."""
    return [
        *(sys.executable, "-m", "gunicorn", "shop.wsgi:application"),
        *("--bind", f"{bracketed(options['host'])}:{options['port']}"),
        *("--worker-class", "gthread"),
        *("--workers", str(options["web_workers"]), "--threads", str(options["threads"])),
        *("--graceful-timeout", str(int(options["grace"]))),
        *("--no-control-socket", "--log-level", "warning"),
    ]


def worker_command(name: str = "worker") -> list[str]:
    """How a worker is started: one process does one job at a time.

    Celery's pool of processes shares a lock that is never given back when an idle one of them is
    killed; here every process is one that the supervisor sees die.
    """
    return [
        *(sys.executable, "-m", "celery", "--quiet", "-A", "shop", "worker"),
        *("--pool", "solo", "--loglevel", "WARNING"),
        *("--hostname", f"{name.replace(' ', '-')}@%h"),
        *("--without-gossip", "--without-mingle", "--without-heartbeat"),
    ]


def beat_command() -> list[str]:
    """How the clock of the periodic tasks is started."""
    return [
        *(sys.executable, "-m", "celery", "--quiet", "-A", "shop", "beat"),
        *("--schedule", str(settings.DATA / "beat"), "--loglevel", "WARNING", "--pidfile", ""),
    ]


def require_free(host: str, port: int) -> None:
    """Raise CommandError if somebody else listens there already."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with closing(socket.socket(family)) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError as error:
            raise CommandError(
                f"Nothing can listen on {host}, port {port}: {error.strerror}. Choose another port"
                " with --port."
            ) from error


def answers(host: str, port: int) -> bool:
    """Whether something listens there."""
    try:
        with closing(socket.create_connection((shown(host).strip("[]"), port), timeout=0.2)):
            return True
    except OSError:
        return False


def shown(host: str) -> str:
    """The host as one types it into a browser on this machine."""
    return {"0.0.0.0": "127.0.0.1", "::": "[::1]"}.get(host, bracketed(host))


def bracketed(host: str) -> str:
    """An IPv6 address in the brackets that an address of the web needs."""
    return f"[{host}]" if ":" in host else host
