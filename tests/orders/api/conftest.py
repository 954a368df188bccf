"""A program that speaks to the API as a member of a workshop."""

import itertools

import pytest
from django.test import Client

from shop.services.tokens import make_token
from tests.builders import a_member, a_shop_that_can_price

KEYS = itertools.count()


class Program:
    """JSON in, JSON out, with a key of its own for each creating request."""

    def __init__(self, membership) -> None:
        _, secret = make_token(membership, "test")
        self.client = Client(headers={"Authorization": f"Bearer {secret}"})

    def get(self, path, **query):
        return self.client.get(f"/api/v1/{path}", query)

    def post(self, path, body=None, key=None, **headers):
        headers["Idempotency-Key"] = key or f"key-{next(KEYS)}"
        return self.client.post(
            f"/api/v1/{path}", body or {}, content_type="application/json", headers=headers
        )

    def patch(self, path, body, etag=None):
        headers = {"If-Match": etag} if etag else {}
        return self.client.patch(
            f"/api/v1/{path}", body, content_type="application/json", headers=headers
        )

    def put(self, path, body, etag):
        return self.client.put(
            f"/api/v1/{path}", body, content_type="application/json", headers={"If-Match": etag}
        )

    def delete(self, path, etag=None):
        return self.client.delete(f"/api/v1/{path}", headers={"If-Match": etag} if etag else {})


@pytest.fixture
def workshop(db):
    return a_shop_that_can_price()


@pytest.fixture
def program_of(workshop):
    def make(role="owner", shop=None):
        return Program(a_member(shop or workshop, role).membership)

    return make


@pytest.fixture
def program(program_of):
    return program_of()
