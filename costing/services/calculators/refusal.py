"""A refusal as a problem document: what is wrong, and where.

Source: RFC 9457, Problem Details for HTTP APIs; pointers are JSON pointers as URI fragments, RFC
6901.
"""

from __future__ import annotations

from http import HTTPStatus
from typing import Any

from orders.core.errors import NotReady, WorkshopError
from orders.core.refusal import pointed


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
