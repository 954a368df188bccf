"""The whole API held to its own description by generated requests, and the description to OpenAPI."""

import pytest
import schemathesis
from django.core.signals import request_finished, request_started
from django.db import close_old_connections
from django.test import Client
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from shop.core.roles import Role
from shop.models import Workshop
from shop.services.tokens import make_token
from shop.wsgi import application
from tests.builders import a_member
from tests.population import populate

pytestmark = pytest.mark.django_db


SHARDS = 6
CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_schema_conformance,
]
FEW = settings(
    max_examples=12,
    derandomize=True,
    database=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)


@pytest.fixture
def operations(db):
    """Every operation of the description, to be called with the token of an owner.

    The connection stays open between requests, as it does for Django's own test client.
    """
    populate()
    owner = a_member(Workshop.objects.get(name="Populated"), Role.OWNER)
    _, secret = make_token(owner.membership, "generated")
    request_started.disconnect(close_old_connections)
    request_finished.disconnect(close_old_connections)
    schema = schemathesis.openapi.from_wsgi("/api/v1/schema/?format=json", application)
    yield [found.ok() for found in schema.get_all_operations()], secret
    request_started.connect(close_old_connections)
    request_finished.connect(close_old_connections)


@pytest.mark.parametrize("shard", range(SHARDS))
def test_every_address_keeps_to_its_description(operations, shard):
    known, secret = operations
    headers = {"Authorization": f"Bearer {secret}"}
    for operation in known[shard::SHARDS]:

        @FEW
        @given(case=operation.as_strategy())
        def keeps_to_it(case):
            case.call_and_validate(headers=headers, checks=CHECKS)

        keeps_to_it()


def test_the_description_is_openapi_3_1(db):
    from jsonschema import Draft202012Validator

    document = Client().get("/api/v1/schema/?format=json").json()

    assert document["openapi"].startswith("3.1")
    for name, schema in document["components"]["schemas"].items():
        Draft202012Validator.check_schema(schema), name
    assert len(document["paths"]) > 50


def test_the_page_to_read_it_loads_nothing_from_elsewhere(db):
    page = Client().get("/api/v1/docs/")

    assert page.status_code == 200
    assert "https://" not in page.content.decode()
    assert "unsafe-inline" not in page["Content-Security-Policy"].split("style-src")[0]
