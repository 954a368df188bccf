"""The languages that papers for a client are written in."""

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType

from orders.core.errors import RuleBroken


class Language(StrEnum):
    """A language of papers, by its letters of ISO 639-1."""

    EN = "en"
    DE = "de"
    FR = "fr"
    ES = "es"
    NL = "nl"

    @property
    def label(self) -> str:
        """The language's own name."""
        return NAMES[self]

    @property
    def locale(self) -> str:
        """The locale whose figures and days go with it."""
        return LOCALES[self]


NAMES: Mapping[Language, str] = MappingProxyType(
    {
        Language.EN: "English",
        Language.DE: "Deutsch",
        Language.FR: "français",
        Language.ES: "español",
        Language.NL: "Nederlands",
    }
)
LOCALES: Mapping[Language, str] = MappingProxyType(
    {
        Language.EN: "en_GB",
        Language.DE: "de_DE",
        Language.FR: "fr_FR",
        Language.ES: "es_ES",
        Language.NL: "nl_NL",
    }
)


def language_of(code: str) -> Language:
    """The language with these letters; raises RuleBroken if papers are not written in it."""
    try:
        return Language(code)
    except ValueError:
        known = ", ".join(f"{one.value} ({one.label})" for one in Language)
        raise RuleBroken("language", f"Papers are written in {known}; choose one.") from None
