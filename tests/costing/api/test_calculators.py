"""The calculators at their stateless addresses."""

import json

import pytest

from costing.services.calculators import CALCULATORS, SHORT
from orders.models import AnsweredRequest

NAMES = sorted(CALCULATORS)
ROLES = {
    "joint": ("foreman", "hand"),
    "costs": ("estimator", "foreman"),
    "estimate": ("estimator", "foreman"),
    "cutting": ("hand", None),
    "schedule": ("foreman", "hand"),
    "labour": ("foreman", "hand"),
    "study": ("foreman", "hand"),
}


def sent(program, name, body):
    return program.client.post(f"/api/v1/calculate/{name}/", body, content_type="application/json")


@pytest.mark.parametrize("name", NAMES)
def test_the_answer_is_that_of_the_command_line(program, name):
    calculator = CALCULATORS[name]
    text = json.dumps(calculator.example()).encode()

    answer = sent(program, name, text)

    assert answer.status_code == 200, answer.content
    assert answer.json() == calculator.calculate(text, SHORT)
    assert not AnsweredRequest.objects.exists()


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("text", [b"", b"[]", b"{}", b'{"x": NaN}', b'{"x": 1e400}', b"\xff"])
def test_a_bad_document_is_a_problem(program, name, text):
    refused = sent(program, name, text)

    assert refused.status_code == 400
    assert refused["Content-Type"] == "application/problem+json"
    assert refused.json()["detail"].endswith(".") or refused.json()["errors"]


def test_a_document_that_is_too_large_is_not_read(program):
    refused = sent(program, "joint", b" " * (SHORT.document_bytes + 1))

    assert refused.status_code == 413


@pytest.mark.parametrize(
    ("name", "changes", "pointer"),
    [
        ("schedule", {"budget": {"seconds": 30}}, "#/budget/seconds"),
        ("schedule", {"horizon": "2028-01-01T00:00:00Z"}, "#/horizon"),
        (
            "schedule",
            {"tasks": [{"key": str(n), "minutes": 5, "stations": ["saw"]} for n in range(151)]},
            "#/tasks",
        ),
        ("cutting", {"rules": {"effort": 90_000}}, "#/rules/effort"),
    ],
)
def test_what_would_take_long_is_refused_in_a_sentence(program, name, changes, pointer):
    refused = sent(program, name, json.dumps(CALCULATORS[name].example() | changes).encode())

    assert refused.status_code == 400
    assert refused.json()["errors"][0]["pointer"] == pointer
    assert "python -m shop calculate" in refused.json()["detail"]


def test_a_search_without_a_budget_ends_in_time(program):
    document = CALCULATORS["schedule"].example()
    del document["budget"]

    assert sent(program, "schedule", json.dumps(document).encode()).status_code == 200


@pytest.mark.parametrize("name", NAMES)
def test_each_role_gets_what_its_permission_says(program_of, name):
    may, may_not = ROLES[name]
    text = json.dumps(CALCULATORS[name].example()).encode()

    assert sent(program_of(may), name, text).status_code == 200
    if may_not:
        assert sent(program_of(may_not), name, text).status_code == 403


def test_a_calculator_is_asked_by_post(program):
    assert program.get("calculate/joint/").status_code == 405
