"""What is answered where no view answers: a page to people, a problem document to programs."""

from __future__ import annotations

from http import HTTPStatus

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.views import defaults

API = "/api/"
MEDIA_TYPE = "application/problem+json"


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """There is nothing at this address."""
    if request.path.startswith(API):
        return problem(request, HTTPStatus.NOT_FOUND, "There is no such address.")
    return defaults.page_not_found(request, exception)


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """The request cannot be read."""
    if request.path.startswith(API):
        return problem(request, HTTPStatus.BAD_REQUEST, "This request cannot be read.")
    return defaults.bad_request(request, exception)


def broken(request: HttpRequest) -> HttpResponse:
    """Something broke on our side; it is logged."""
    if request.path.startswith(API):
        return problem(
            request,
            HTTPStatus.INTERNAL_SERVER_ERROR,
            "Something broke on our side; it is logged, and nothing that was saved is lost.",
        )
    return defaults.server_error(request)


def problem(request: HttpRequest, status: HTTPStatus, detail: str) -> JsonResponse:
    """A problem document, RFC 9457."""
    body = {
        "type": "about:blank",
        "title": status.phrase,
        "status": int(status),
        "detail": detail,
        "instance": request.path,
    }
    return JsonResponse(body, status=status, content_type=MEDIA_TYPE)
