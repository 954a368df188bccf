"""Languages of papers."""

import pytest
from babel import Locale

from orders.core.errors import RuleBroken
from orders.core.language import Language, language_of


def test_each_has_its_own_name_and_the_locale_of_its_figures():
    for language in Language:
        assert Locale.parse(language.locale).language == language.value
        assert (
            Locale.parse(language.locale)
            .get_display_name()
            .lower()
            .startswith(language.label.lower())
        )
        assert language_of(language.value) is language


def test_a_language_that_papers_are_not_written_in_is_refused():
    with pytest.raises(RuleBroken, match="Papers are written in en"):
        language_of("tlh")
