"""A refusal as a problem document: what is wrong, and where.

Source: RFC 9457, Problem Details for HTTP APIs; pointers are JSON pointers as URI fragments, RFC 6901.
"""

from __future__ import annotations

from http import HTTPStatus
from typing import Any

from orders.core.errors import NotReady, RuleBroken, RulesBroken, WorkshopError


def refusal(error: WorkshopError) -> dict[str, Any]:
    """The problem document of an error."""
    status = HTTPStatus.CONFLICT if isinstance(error, NotReady) else HTTPStatus.BAD_REQUEST
    body: dict[str, Any] = {
        "type": "about:blank",
        "title": status.phrase,
        "status": status.value,
        "detail": error.message,
    }
    if pointed(error):
        body["errors"] = pointed(error)
    return body


def pointed(error: WorkshopError) -> list[dict[str, str]]:
    """Each value that is refused, by its pointer."""
    if isinstance(error, RulesBroken):
        return [entry for each in error.errors for entry in pointed(each)]
    if isinstance(error, RuleBroken):
        pointer = f"#/{error.field}" if error.field else "#"
        return [{"pointer": pointer, "detail": error.message}]
    return []
