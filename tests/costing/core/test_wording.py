"""The words of papers."""

from string import Formatter

import pytest

from costing.core.tables import rows_of
from costing.core.wording import called, words_of
from orders.core.exposure import Exposure
from orders.core.language import Language
from orders.core.species import all_species


def gaps(words: str) -> set[str]:
    """What is filled into a sentence."""
    return {name for _, name, _, _ in Formatter().parse(words) if name}


@pytest.mark.parametrize("language", Language)
def test_every_word_is_there_and_has_the_same_gaps(language):
    english = words_of(Language.EN)
    own = words_of(language)
    assert own.keys() == english.keys()
    for key, words in own.items():
        assert words.strip() == words != "", key
        assert gaps(words) == gaps(english[key]), key


def test_no_word_is_given_twice():
    keys = [row["key"] for row in rows_of("words")]
    assert len(keys) == len(set(keys))


def test_english_words_of_the_trade_are_the_labels_of_the_books():
    for exposure in Exposure:
        assert words_of(Language.EN)[f"exposure.{exposure.value}"] == exposure.label
    for key, words in words_of(Language.EN).items():
        if key.startswith("species."):
            assert all_species()[key.removeprefix("species.")].label == words


def test_what_has_no_word_keeps_its_label():
    assert called("species", "oak-white", "White oak", Language.DE) == "Weißeiche"
    assert called("species", "bog-oak", "Bog oak", Language.DE) == "Bog oak"
