"""How papers for a client speak: words, amounts, rates and days in one language."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from babel.dates import format_date
from babel.numbers import format_currency, format_decimal, get_currency_precision

from costing.core.money import TaxGroup
from costing.core.wording import words_of
from orders.core.language import Language


@dataclass(frozen=True, slots=True)
class Tongue:
    """One language of papers."""

    language: Language

    @property
    def words(self) -> Mapping[str, str]:
        """Every word of papers by its key."""
        return words_of(self.language)

    @property
    def tag(self) -> str:
        """The language as a page declares it: en-GB. Source: BCP 47."""
        return self.language.locale.replace("_", "-")

    def said(self, key: str, **filled: object) -> str:
        """A sentence with what is filled in."""
        return self.words[key].format(**filled)

    def amount(self, value: Decimal, currency: str) -> str:
        """An amount to its minor units, without its currency: the head of the column has that."""
        decimals = get_currency_precision(currency)
        pattern = "#,##0" + ("." + "0" * decimals if decimals else "")
        return str(format_decimal(value, pattern, locale=self.language.locale))

    def money(self, value: Decimal, currency: str) -> str:
        """An amount with its currency."""
        return str(format_currency(value, currency, locale=self.language.locale))

    def rate(self, value: Decimal) -> str:
        """A share or a rate of tax in per cent: 23 %, 13.5 %."""
        return f"{format_decimal(value, '0.##', locale=self.language.locale)}\u00a0%"

    def tax_of(self, name: str, group: TaxGroup, currency: str) -> str:
        """A row of tax: its name, its rate, and on how much."""
        taxable = self.amount(group.taxable, currency)
        return self.said("tax_of", tax=name, rate=self.rate(group.rate), amount=taxable)

    def tax_number(self, name: str, number: str) -> str:
        """A tax number as papers have it, or nothing."""
        return f"{self.said('tax_no', tax=name)} {number}" if number else ""

    def day(self, on: date | None) -> str:
        """A day written out, or nothing."""
        return str(format_date(on, "long", locale=self.language.locale)) if on else ""

    def short_day(self, on: date | None) -> str:
        """A day as narrow cells have it, or nothing."""
        return str(format_date(on, "medium", locale=self.language.locale)) if on else ""
