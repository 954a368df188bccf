"""The form by which a price is set."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from django import forms

from costing.core.pricing import PriceBasis, Pricing
from costing.core.rates import Profit, ProfitBasis
from costing.models.pricing import basis_choices
from costing.models.rates import profit_choices
from costing.web.fields import MoneyField, PercentField
from orders.web.forms import SheetForm

FIELDS_OF_FAULTS: Mapping[str, str] = MappingProxyType(
    {"net": "net", "profit": "profit_basis", "profit/share": "profit_share"}
)


class PriceForm(SheetForm):
    """What the price starts from; fields that the choice has no use for are left alone."""

    takes_focus = False

    basis = forms.ChoiceField(label="The price is", choices=basis_choices, widget=forms.RadioSelect)
    net = MoneyField(
        label="Net price", required=False, max_digits=15, help_text="Only where it is set by hand."
    )
    profit_basis = forms.ChoiceField(
        label="Profit here is",
        required=False,
        choices=lambda: [("", "what the rate book asks"), *profit_choices()],
    )
    profit_share = PercentField(
        label="Profit here, %", required=False, help_text="Only in place of the rate book’s."
    )

    def clean(self) -> dict[str, Any]:
        """A profit that is chosen needs its share, a price by hand its amount."""
        typed: dict[str, Any] = super().clean() or {}
        if typed.get("basis") == PriceBasis.HAND:
            if "net" in typed and typed["net"] is None:
                self.add_error("net", "Give the net price that is to be offered.")
        elif typed.get("profit_basis") and typed.get("profit_share", 0) is None:
            self.add_error("profit_share", "Give the profit that is asked for, in per cent.")
        return typed

    def pricing(self) -> Pricing:
        """What was chosen."""
        typed = self.cleaned_data
        if typed["basis"] == PriceBasis.HAND:
            return Pricing(basis=PriceBasis.HAND, net=typed["net"])
        profit = (
            Profit(basis=ProfitBasis(typed["profit_basis"]), share=typed["profit_share"])
            if typed["profit_basis"]
            else None
        )
        return Pricing(basis=PriceBasis(typed["basis"]), profit=profit)


def start_from(pricing: Pricing) -> dict[str, Any]:
    """What the form begins with."""
    return {
        "basis": pricing.basis.value,
        "net": pricing.net,
        "profit_basis": pricing.profit.basis.value if pricing.profit else "",
        "profit_share": pricing.profit.share if pricing.profit else None,
    }
