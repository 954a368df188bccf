"""Reading JSON that the database can keep: no NUL, no half characters, no bottomless nesting."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import IO, Any

from rest_framework.exceptions import ParseError
from rest_framework.parsers import JSONParser

NOT_TEXT = "A text holds a character that cannot be kept: a NUL, or half of a pair."


class KeepableJSON(JSONParser):
    """JSON as RFC 8259 has it, refused where it could not be stored and given back."""

    def parse(
        self,
        stream: IO[Any],
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> Any:
        """The value of the body; a ParseError for what is no JSON or cannot be kept."""
        try:
            value = super().parse(stream, media_type, dict(parser_context or {}))
            text = json.dumps(value, ensure_ascii=False)
        except RecursionError as error:
            raise ParseError("The body is nested too deeply.") from error
        if "\\u0000" in text or not is_whole(text):
            raise ParseError(NOT_TEXT)
        return value


def is_whole(text: str) -> bool:
    """Whether every character of a text is one, and can be written as UTF-8."""
    try:
        text.encode()
    except UnicodeEncodeError:
        return False
    return True
