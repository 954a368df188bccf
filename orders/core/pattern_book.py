"""The pattern book: every pattern by its code."""

import importlib
import pkgutil
from collections.abc import Mapping
from difflib import get_close_matches
from functools import lru_cache
from types import MappingProxyType

from orders.core import patterns
from orders.core.errors import RuleBroken
from orders.core.pattern import Pattern


@lru_cache(maxsize=1)
def all_patterns() -> Mapping[str, type[Pattern]]:
    """Every pattern by code, in the order of their labels."""
    found: list[type[Pattern]] = [
        importlib.import_module(f"{patterns.__name__}.{module.name}").PATTERN
        for module in pkgutil.iter_modules(patterns.__path__)
    ]
    return MappingProxyType(
        {kind.code: kind for kind in sorted(found, key=lambda kind: kind.label)}
    )


def pattern(code: str) -> type[Pattern]:
    """The pattern of a code.

    Raises RuleBroken on "pattern" when the book has no such pattern.
    """
    known = all_patterns()
    if code not in known:
        near = get_close_matches(code, known, n=3, cutoff=0.4) or list(known)
        raise RuleBroken(
            "pattern", f"There is no pattern {code!r}; did you mean {' or '.join(near)}?"
        )
    return known[code]
