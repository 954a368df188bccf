"""The countries of the world by their two letters."""

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from babel import Locale

UNIONS_AND_TESTS = {"EU", "EZ", "QO", "UN", "XA", "XB", "ZZ"}


@cache
def countries() -> Mapping[str, str]:
    """English names by code.

    Source: ISO 3166-1, as the Unicode CLDR has it.
    """
    return MappingProxyType(
        {
            code: str(name)
            for code, name in Locale("en").territories.items()
            if len(code) == 2 and code.isalpha() and code not in UNIONS_AND_TESTS
        }
    )
