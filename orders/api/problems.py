"""Every refusal is a problem document (RFC 9457) that points to the value to change.

Source: RFC 9457, Problem Details for HTTP APIs; pointers are JSON pointers as URI fragments, RFC
6901.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from http import HTTPStatus
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db.models import ProtectedError
from django.http import Http404
from rest_framework import exceptions
from rest_framework.response import Response
from rest_framework.views import set_rollback

from orders.core.errors import NotNow, NotReady, RuleBroken, RulesBroken, Stale, WorkshopError
from orders.core.refusal import pointed

MEDIA_TYPE = "application/problem+json"
STATUS = {NotNow: 409, NotReady: 409, Stale: 412, RuleBroken: 400, RulesBroken: 400}


class PreconditionRequired(exceptions.APIException):
    """An update did not say which edition it changes."""

    status_code = 428
    default_detail = "Send If-Match with the ETag of what you read, so that nothing is overwritten."
    default_code = "precondition-required"


def problem_response(error: Exception, context: Mapping[str, Any]) -> Response | None:
    """The answer to an error; None lets Django answer a bug."""
    set_rollback()
    path = context["request"].path if context.get("request") else ""
    if isinstance(error, WorkshopError):
        return problem(STATUS.get(type(error), 400), error.message, path, pointed(error))
    if isinstance(error, Http404):
        error = exceptions.NotFound("There is no such thing in this workshop.")
    elif isinstance(error, PermissionDenied):
        error = exceptions.PermissionDenied()
    elif isinstance(error, ProtectedError):
        return problem(409, "Something else still uses this; remove that first.", path)
    if not isinstance(error, exceptions.APIException):
        return None
    response = api_problem(error, path)
    if asked := getattr(error, "auth_header", None):
        response["WWW-Authenticate"] = asked
    if seconds := getattr(error, "wait", None):
        response["Retry-After"] = str(int(seconds) + 1)
    return response


def api_problem(error: exceptions.APIException, path: str) -> Response:
    """The answer to an error that the framework raised."""
    if isinstance(error, exceptions.ValidationError):
        errors = list(flattened(error.detail, ""))
        said = errors[0]["detail"] if len(errors) == 1 else f"{len(errors)} values must change."
        return problem(400, said, path, errors)
    return problem(error.status_code, str(error.detail), path)


def problem(
    status: int, detail: str, instance: str, errors: Iterable[Mapping[str, str | float]] = ()
) -> Response:
    """One problem document."""
    body: dict[str, Any] = {
        "type": "about:blank",
        "title": HTTPStatus(status).phrase,
        "status": status,
        "detail": detail,
        "instance": instance,
    }
    errors = list(errors)
    if errors:
        body["errors"] = errors
    return Response(body, status=status, content_type=MEDIA_TYPE)


def flattened(detail: Any, pointer: str) -> Iterable[dict[str, str]]:
    """The framework's nested errors as a flat list of pointers and sentences."""
    if isinstance(detail, Mapping):
        for key, inner in detail.items():
            step = "" if key == "non_field_errors" else f"/{escaped(key)}"
            yield from flattened(inner, pointer + step)
    elif isinstance(detail, list) and any(isinstance(item, Mapping | list) for item in detail):
        for place, inner in enumerate(detail):
            yield from flattened(inner, f"{pointer}/{place}")
    elif isinstance(detail, list):
        for inner in detail:
            yield {"pointer": f"#{pointer}", "detail": str(inner)}
    else:
        yield {"pointer": f"#{pointer}", "detail": str(detail)}


def escaped(key: object) -> str:
    """A key as a step of a JSON pointer."""
    return str(key).replace("~", "~0").replace("/", "~1")
