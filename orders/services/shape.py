"""Reading a document into core values: faults of its shape, each beside its place."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any, TypeVar

from pydantic import TypeAdapter, ValidationError

from orders.core.errors import RuleBroken, RulesBroken

Value = TypeVar("Value")

DEEPEST = 80
"""Lists and objects within each other; deeper than any document of ours needs."""

MOST_FAULTS = 100

SENTENCES: Mapping[str, str] = {
    "missing": "Give {name}.",
    "unexpected_keyword_argument": "There is no {name} here; correct its spelling or take it out.",
    "int_type": "Give {name} as a whole number.",
    "int_from_float": "Give {name} as a whole number.",
    "float_type": "Give {name} as a number.",
    "finite_number": "Give {name} as a number.",
    "string_type": "Give {name} as text.",
    "enum": "Choose {name} from {expected}.",
    "greater_than_equal": "Give {name} of at least {ge:g}.",
    "less_than_equal": "Give {name} of at most {le:g}.",
    "string_too_short": "Give {name}.",
    "string_too_long": "Shorten {name} to {max_length} characters.",
    "tuple_type": "Give {name} as a list.",
    "dict_type": "Give {name} as an object.",
    "mapping_type": "Give {name} as an object.",
    "dataclass_type": "Give {name} as an object.",
    "dataclass_exact_type": "Give {name} as an object.",
    "date_type": "Give {name} as a date, as 2027-03-31.",
    "date_parsing": "Give {name} as a date, as 2027-03-31.",
    "date_from_datetime_parsing": "Give {name} as a date, as 2027-03-31.",
}


def read_shape(adapter: TypeAdapter[Value], document: Any) -> Value:
    """The document as a value.

    Raises RuleBroken or RulesBroken, whose fields are JSON pointers without the first slash.
    """
    if depth_of(document) > DEEPEST:
        raise RuleBroken("", f"The file nests more than {DEEPEST} deep; it is not an order file.")
    try:
        return adapter.validate_json(json.dumps(document), strict=True)
    except ValidationError as error:
        raise _faults(error, document) from error


def depth_of(document: Any) -> int:
    """How deep lists and objects stand within each other, without recursing into them."""
    level, depth = [document], 0
    while level and depth <= DEEPEST:
        level = [inner for value in level for inner in _inner(value)]
        depth += 1
    return depth


def _inner(value: Any) -> list[Any]:
    if isinstance(value, Mapping):
        return list(value.values())
    return list(value) if isinstance(value, list | tuple) else []


def _faults(error: ValidationError, document: Any) -> RuleBroken | RulesBroken:
    found: dict[str, RuleBroken] = {}
    for problem in error.errors(include_url=False):
        path = _path(problem["loc"], document, problem["type"])
        field = "/".join(_escaped(step) for step in path)
        name = str(path[-1]) if path else "the file"
        if path and isinstance(path[-1], int):
            name = f"entry {path[-1] + 1}"
        found.setdefault(field, RuleBroken(field, _sentence(problem, name)))
    faults = list(found.values())
    return faults[0] if len(faults) == 1 else RulesBroken(faults[:MOST_FAULTS])


def _path(steps: Sequence[int | str], document: Any, kind: str) -> list[int | str]:
    """The steps that lead into the document; those that name a branch of a type are left out."""
    path: list[int | str] = []
    here = document
    for step in steps:
        if _leads_on(here, step):
            here = here[step]
        elif kind != "missing":
            continue
        path.append(step)
    return path


def _leads_on(here: Any, step: int | str) -> bool:
    if isinstance(here, Mapping):
        return step in here
    return isinstance(here, list) and isinstance(step, int) and step < len(here)


def _sentence(problem: Any, name: str) -> str:
    known = SENTENCES.get(problem["type"])
    if known is None:
        return f"Correct {name}: {problem['msg'][:1].lower()}{problem['msg'][1:]}."
    return known.format(name=name, **problem.get("ctx", {}))


def _escaped(step: int | str) -> str:
    return str(step).replace("~", "~0").replace("/", "~1")
