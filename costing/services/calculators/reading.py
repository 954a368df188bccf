"""Reading a calculator's document: from bytes to core values, or sentences that say what to change."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any, TypeVar

from pydantic import TypeAdapter

from orders.core.errors import RuleBroken, RulesBroken
from orders.core.lengths import parse_length
from orders.services.shape import DEEPEST, depth_of, read_shape

Value = TypeVar("Value")

LARGEST = 1_000_000_000
SMALLEST = Decimal("1e-9")
FIRST_YEAR, LAST_YEAR = 1970, 2200
MOST_FAULTS = 20
LENGTH = "_mm"


def document_of(text: bytes) -> dict[str, Any]:
    """The one JSON object that the text holds.

    Raises RuleBroken for anything else: nothing, another encoding, a list, NaN, a key given twice.
    """
    try:
        words = text.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise RuleBroken("", "The document is not text in UTF-8; save it as UTF-8.") from None
    if not words.strip():
        raise RuleBroken("", "There is no document; give one JSON object.")
    document = _json(words)
    if not isinstance(document, dict):
        raise RuleBroken("", "The document is one JSON object, in braces.")
    if depth_of(document) > DEEPEST:
        raise RuleBroken("", f"The document nests more than {DEEPEST} deep; flatten it.")
    return document


def read(
    adapter: TypeAdapter[Value], document: dict[str, Any], checked: Sequence[type[Any]] = ()
) -> Value:
    """The document as a value; lengths may be numbers of millimetres or written as a bench does.

    `checked` are the types within it that refuse bad values when they are made. Raises RuleBroken
    or RulesBroken, whose fields are JSON pointers without the first slash.
    """
    measured = _measured(document, "")
    try:
        value = read_shape(adapter, measured)
    except RuleBroken as fault:
        raise _found(fault, measured, checked) from fault
    faults = [fault for fault, _ in zip(absurd(value, ""), range(MOST_FAULTS), strict=False)]
    if faults:
        raise faults[0] if len(faults) == 1 else RulesBroken(faults)
    return value


def absurd(value: Any, place: str) -> Iterator[RuleBroken]:
    """Every number and date in a value that no workshop has."""
    if isinstance(value, datetime):
        if not FIRST_YEAR <= value.year <= LAST_YEAR:
            yield RuleBroken(place, f"Give a year from {FIRST_YEAR} to {LAST_YEAR}.")
    elif isinstance(value, int | float | Decimal) and not isinstance(value, bool):
        if not _is_of_this_world(value):
            yield RuleBroken(place, "No figure of a workshop is so large or so small; correct it.")
    elif is_dataclass(value):
        for each in fields(value):
            yield from absurd(getattr(value, each.name), _step(place, each.name))
    elif isinstance(value, Mapping):
        for key, inner in value.items():
            yield from absurd(inner, _step(place, key))
    elif isinstance(value, tuple):
        for number, inner in enumerate(value):
            yield from absurd(inner, _step(place, number))


def _json(words: str) -> Any:
    try:
        return json.loads(
            words, parse_constant=_no_number, parse_float=_finite, object_pairs_hook=_once
        )
    except json.JSONDecodeError as error:
        place = f"line {error.lineno}, column {error.colno}"
        raise RuleBroken("", f"This is not JSON: {error.msg.lower()} at {place}.") from None
    except RecursionError:
        raise RuleBroken("", "The document is nested too deep; flatten it.") from None
    except ValueError:
        raise RuleBroken("", "A whole number in it has thousands of digits; correct it.") from None


def _no_number(name: str) -> Any:
    raise RuleBroken("", f"{name} is not a number; correct it or leave it out.")


def _finite(digits: str) -> float:
    number = float(digits)
    if not math.isfinite(number):
        raise RuleBroken("", f"{digits[:40]} is too large a number; correct it.")
    return number


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise RuleBroken("", f"“{twice}” stands twice in one object; keep one.")
    return found


def _measured(value: Any, place: str) -> Any:
    """The document with every length that is written in words as a number of millimetres."""
    if isinstance(value, dict):
        return {
            name: _length(inner, _step(place, name))
            if isinstance(inner, str) and name.endswith(LENGTH)
            else _measured(inner, _step(place, name))
            for name, inner in value.items()
        }
    if isinstance(value, list):
        return [_measured(inner, _step(place, number)) for number, inner in enumerate(value)]
    return value


def _length(written: str, place: str) -> float:
    return float(parse_length(written, field=place))


def _is_of_this_world(number: int | float | Decimal) -> bool:
    size = abs(Decimal(number))
    return size == 0 or SMALLEST <= size <= LARGEST


def _found(fault: RuleBroken, document: Any, checked: Sequence[type[Any]]) -> RuleBroken:
    """A fault with its whole place: a value that refuses itself knows only its own field."""
    for place, inner in _objects(document, ""):
        for adapter in map(TypeAdapter, checked if fault.field in inner else ()):
            try:
                read_shape(adapter, inner)
            except RuleBroken as again:
                if (again.field, again.message) == (fault.field, fault.message):
                    return fault.under(place) if place else fault
            except RulesBroken:
                continue
    return fault


def _objects(value: Any, place: str) -> Iterator[tuple[str, dict[str, Any]]]:
    if isinstance(value, dict):
        yield place, value
    steps = value.items() if isinstance(value, dict) else enumerate(value)
    for step, inner in steps:
        if isinstance(inner, dict | list):
            yield from _objects(inner, _step(place, step))


def _step(place: str, step: object) -> str:
    escaped = str(step).replace("~", "~0").replace("/", "~1")
    return f"{place}/{escaped}" if place else escaped
