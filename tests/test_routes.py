"""Every address of the installation, found by walking the resolver, tried as everybody.

A new address fails here until its view declares who may use it, and until this test knows which
row its id stands for. Each request is undone, so that one cannot spoil the next.
"""

from __future__ import annotations

import importlib
import pkgutil
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from http import HTTPStatus
from typing import Any

import pytest
from django.db import transaction
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver
from django.urls.resolvers import RoutePattern

from costing import documents
from orders.api.access import permission_of
from orders.web.access import EVERYBODY, SIGNED_IN
from shop.core.roles import MAY, Role
from tests.population import OWN_CODES, Population, populate

METHODS = ("GET", "POST", "PUT", "PATCH", "DELETE")
HEADERS = {"HTTP_IDEMPOTENCY_KEY": "a-key-of-this-test", "HTTP_IF_MATCH": '"1"'}
REFINED = frozenset({"commissions/<int:pk>/move/<slug:stage>/"})
"""Addresses that ask for more than they declare: here the permission of the move itself."""
PARAMETER = re.compile(r"<(?:\w+:)?(\w+)>")


@dataclass(frozen=True)
class Route:
    """One address with its view; `path` still has its parameters in angle brackets."""

    path: str
    view: Any

    @property
    def is_api(self) -> bool:
        return self.path.startswith("api/")

    @property
    def declaring(self) -> Any:
        """What carries the declaration: a page's function, or the class of an API view."""
        return getattr(self.view, "cls", self.view)

    def permission(self, method: str) -> str | None:
        return permission_of(self.declaring, method)

    def methods(self) -> tuple[str, ...]:
        """What an API view answers to; pages say so by 405 when they are tried."""
        if not self.is_api:
            return ("GET", "POST")
        actions = getattr(self.view, "actions", None)
        if actions:
            return tuple(m for m in METHODS if m.lower() in actions)
        return tuple(m for m in METHODS if hasattr(self.declaring, m.lower()))

    def filled(self, ids: Mapping[str, Any]) -> str:
        """The address with the ids of a row."""
        return "/" + PARAMETER.sub(lambda found: str(ids[self.key_of(found)]), self.path)

    def key_of(self, found: re.Match[str]) -> str:
        """What a parameter stands for: its own name, or the word before it where it is an id."""
        name = found[1]
        if name not in ("pk", "id", "code", "slug"):
            return name
        words = [word for word in self.path[: found.start()].split("/") if word]
        return next(word for word in reversed(words) if not word.startswith("<"))

    def params(self) -> list[str]:
        return [self.key_of(found) for found in PARAMETER.finditer(self.path)]


def routes() -> Iterator[Route]:
    """Every address, whoever wrote it."""
    yield from walk(get_resolver().url_patterns, "")


def walk(patterns: list[URLPattern | URLResolver], before: str) -> Iterator[Route]:
    for pattern in patterns:
        path = before + plain(pattern)
        if isinstance(pattern, URLResolver):
            yield from walk(pattern.url_patterns, path)
        else:
            yield Route(path=path, view=pattern.callback)


def plain(pattern: URLPattern | URLResolver) -> str:
    """The pattern as a path with <names>, from either kind of pattern."""
    text = str(pattern.pattern)
    if isinstance(pattern.pattern, RoutePattern):
        return text
    named = re.sub(r"\(\?P<(\w+)>[^)]*\)", r"<\1>", text)
    return named.removeprefix("^").removesuffix("$").removesuffix("\\Z").replace("\\.", ".")


ROUTES = [route for route in routes() if "<format>" not in route.path]
WITH_IDS = [route for route in ROUTES if set(route.params()) - OWN_CODES]


def named(route: Route) -> str:
    return route.path or "(root)"


@pytest.fixture(autouse=True)
def _blank_papers(monkeypatch: pytest.MonkeyPatch) -> None:
    """Who may have a paper does not depend on what is printed on it."""
    for found in pkgutil.iter_modules(documents.__path__):
        module = importlib.import_module(f"costing.documents.{found.name}")
        if hasattr(module, "printed"):
            monkeypatch.setattr(module, "printed", lambda pages, **more: b"%PDF-")


@pytest.fixture
def shop(db: None) -> Population:
    """One populated workshop, and a stranger to it."""
    return populate()


@contextmanager
def undone() -> Iterator[None]:
    """What happens inside never happened."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def ask(session: str | None, route: Route, method: str, ids: Mapping[str, Any]) -> Any:
    """One request, by a person's session or by nobody."""
    client = Client(raise_request_exception=True)
    if session is not None:
        client.cookies["sessionid"] = session
    more: dict[str, Any] = {"data": {}}
    if route.is_api and method != "GET":
        more["content_type"] = "application/json"
    with undone():
        answer = (
            client.generic(
                method, route.filled(ids), b"{}" if route.is_api else b"", **headers(route, method)
            )
            if method != "GET"
            else client.get(route.filled(ids))
        )
        if getattr(answer, "streaming", False):
            answer.close()
        return answer


def headers(route: Route, method: str) -> dict[str, str]:
    kind = "application/json" if route.is_api else "application/x-www-form-urlencoded"
    return {**HEADERS, "content_type": kind}


def tried(session: str | None, route: Route, ids: Mapping[str, Any]) -> dict[str, int]:
    """The status of each method that the address knows."""
    found = {method: ask(session, route, method, ids).status_code for method in route.methods()}
    known = {m: s for m, s in found.items() if s != HTTPStatus.METHOD_NOT_ALLOWED}
    assert known, f"{named(route)} answers to no method"
    return known


def test_there_are_pages_and_none_is_overlooked():
    assert len([route for route in ROUTES if not route.is_api]) > 60
    assert len(WITH_IDS) > 30


def test_every_view_declares_who_may_use_it():
    known = frozenset().union(*MAY.values()) | {EVERYBODY, SIGNED_IN}
    faults = [
        f"{named(route)} {method} declares {route.permission(method)!r}"
        for route in ROUTES
        for method in route.methods()
        if route.permission(method) not in known
    ]
    assert not faults, "\n".join(faults)


def test_every_id_is_known(shop):
    unknown = {key for route in ROUTES for key in route.params()} - set(shop.ids)
    assert not unknown, f"tests/population.py has no row for {sorted(unknown)}"


def test_nobody_is_sent_to_the_door(shop):
    faults = []
    for route in ROUTES:
        for method, status in tried(None, route, shop.ids).items():
            if route.permission(method) == EVERYBODY:
                is_well = status < 500 and status not in (401, 403)
            else:
                is_well = status == (401 if route.is_api else 302)
            if not is_well:
                faults.append(f"{named(route)} {method}: {status}")
    assert not faults, "\n".join(faults)


@pytest.mark.parametrize("role", list(Role))
def test_each_role_may_do_what_is_declared(role, shop):
    faults = []
    for route in ROUTES:
        for method, status in tried(shop.sessions[role], route, shop.ids).items():
            needed = route.permission(method)
            may = needed in (EVERYBODY, SIGNED_IN) or needed in MAY[role]
            is_well = status < 500 and status not in (401, 403) if may else status == 403
            is_well = is_well or (status == 403 and route.path in REFINED)
            if not is_well:
                faults.append(f"{named(route)} {method}: {status}, needs {needed}")
    assert not faults, "\n".join(faults)


def test_ids_of_another_workshop_are_not_found(shop):
    faults = [
        f"{named(route)} {method}: {status}"
        for route in WITH_IDS
        for method, status in tried(shop.stranger, route, shop.ids).items()
        if route.permission(method) != EVERYBODY and status != HTTPStatus.NOT_FOUND
    ]
    assert not faults, "\n".join(faults)
