"""The description of the API: every operation also answers with problem documents."""

from __future__ import annotations

from typing import Any, Literal

from drf_spectacular.openapi import AutoSchema
from drf_spectacular.utils import OpenApiParameter

from orders.api.problems import MEDIA_TYPE

PROBLEM = {
    "type": "object",
    "description": "A problem document, RFC 9457.",
    "properties": {
        "type": {"type": "string"},
        "title": {"type": "string"},
        "status": {"type": "integer"},
        "detail": {"type": "string"},
        "instance": {"type": "string"},
        "errors": {
            "type": "array",
            "items": {
                "type": "object",
                "properties": {
                    "pointer": {"type": "string"},
                    "detail": {"type": "string"},
                    "nearest": {
                        "type": "number",
                        "description": "The nearest value that would do, where there is one.",
                    },
                },
                "required": ["pointer", "detail"],
            },
        },
    },
    "required": ["type", "title", "status", "detail"],
}
ALWAYS = {
    "400": "A value must change.",
    "401": "Sign in first.",
    "403": "Your role does not include this.",
    "404": "There is no such thing in this workshop.",
    "405": "This address does not know the method.",
    "406": "Only JSON is spoken here.",
    "409": "Not possible in its present state.",
    "415": "Only JSON is understood here.",
    "429": "Too many tries; wait a little.",
}
ON_UPDATE = {
    "412": "Somebody changed it meanwhile.",
    "428": "Send If-Match with the ETag of what you read.",
}


class WorkshopSchema(AutoSchema):
    """Adds the problem answers, the Idempotency-Key and If-Match to every operation they concern."""

    def get_override_parameters(self) -> list[Any]:
        """The headers that the base views ask for."""
        headers = list(super().get_override_parameters())
        if self.method == "POST" and getattr(self.view, "is_idempotent", False):
            headers.append(
                OpenApiParameter(
                    "Idempotency-Key",
                    str,
                    OpenApiParameter.HEADER,
                    required=True,
                    description="Any text of your own, at most 120 characters; a repeat with the"
                    " same key and body gets the first answer again.",
                )
            )
        if self.method in ("PUT", "PATCH", "DELETE") and getattr(self.view, "is_versioned", False):
            headers.append(
                OpenApiParameter(
                    "If-Match",
                    str,
                    OpenApiParameter.HEADER,
                    required=True,
                    description="The ETag of what you read.",
                )
            )
        return headers

    def _get_response_bodies(
        self, direction: Literal["request", "response"] = "response"
    ) -> dict[str, Any]:
        bodies: dict[str, Any] = super()._get_response_bodies(direction)
        answers = ALWAYS | (ON_UPDATE if getattr(self.view, "is_versioned", False) else {})
        for status, description in answers.items():
            bodies.setdefault(
                status,
                {"description": description, "content": {MEDIA_TYPE: {"schema": PROBLEM}}},
            )
        return bodies
