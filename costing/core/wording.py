"""What papers for a client say, in each language that they can be written in."""

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from costing.core.tables import rows_of
from orders.core.language import Language


@cache
def words_of(language: Language) -> Mapping[str, str]:
    """Every word and sentence of papers by its key; braces hold what is filled in."""
    return MappingProxyType({row["key"]: row[language.value] for row in rows_of("words")})


def called(kind: str, code: str, label: str, language: Language) -> str:
    """What a timber or an exposure is called in a language; its own label where no word is known."""
    return words_of(language).get(f"{kind}.{code}", label)
