"""Fields of costing's forms: money, and shares that are typed in per cent."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms

HUNDRED = Decimal(100)


class MoneyField(forms.DecimalField):
    """An amount of 0 or more, with the finest step of any currency."""

    def __init__(self, **more: Any) -> None:
        super().__init__(**{"min_value": 0, "max_digits": 12, "decimal_places": 4, **more})
        self.widget.attrs |= {"inputmode": "decimal", "autocomplete": "off", "step": "any"}

    def prepare_value(self, value: Any) -> Any:
        """Without zeros that say nothing, but never fewer than two decimals."""
        if isinstance(value, Decimal):
            return f"{value:.2f}" if value == value.quantize(Decimal("0.01")) else f"{value:f}"
        return value


class PercentField(forms.DecimalField):
    """A share, typed and shown in per cent: 22 is 0.22."""

    def __init__(self, **more: Any) -> None:
        super().__init__(
            **{"min_value": 0, "max_value": 999, "max_digits": 7, "decimal_places": 2, **more}
        )
        self.widget.attrs |= {"inputmode": "decimal", "autocomplete": "off", "step": "any"}

    def clean(self, value: Any) -> Any:
        """The share of one."""
        typed = super().clean(value)
        return None if typed is None else typed / HUNDRED

    def prepare_value(self, value: Any) -> Any:
        """A share in per cent; what was typed stays as it was typed."""
        if isinstance(value, Decimal):
            return f"{(value * HUNDRED).normalize():f}"
        return value

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Compare as it is written."""
        return super().has_changed(self.prepare_value(initial), data)
