"""Setting the price of a commission: from what is expected, from P80, or by hand."""

from __future__ import annotations

from decimal import Decimal

from django.db import transaction

from costing.core.money import rounded
from costing.core.pricing import EXPECTED, PriceBasis, Pricing
from costing.core.rates import Profit, ProfitBasis
from costing.models import PriceSetting
from orders.core.errors import NotNow, RuleBroken, RulesBroken
from orders.core.stages import Stage
from orders.models import Commission
from orders.services.holding import hold

MOST_NET = Decimal(10**12)
STILL_PRICED = (Stage.ENQUIRY, Stage.QUOTED)


def price_set(commission: Commission) -> Pricing:
    """What the price of the commission starts from: as it was set, or else what is expected."""
    return pricing_of(price_kept(commission))


def pricing_of(kept: PriceSetting) -> Pricing:
    """What a row says that the price starts from."""
    if not kept.version:
        return EXPECTED
    currency = kept.commission.workshop.currency
    return Pricing(
        basis=PriceBasis(kept.basis),
        net=None if kept.net is None else rounded(kept.net, currency),
        profit=Profit(basis=ProfitBasis(kept.profit_basis), share=kept.profit_share)
        if kept.profit_basis and kept.profit_share is not None
        else None,
    )


def price_kept(commission: Commission) -> PriceSetting:
    """The row that keeps the price; one of version 0, not stored, if none was set."""
    kept: PriceSetting | None = PriceSetting.objects.filter(commission=commission).first()
    if kept is None:
        return PriceSetting(commission=commission, version=0)
    kept.commission = commission
    return kept


@transaction.atomic
def set_price(
    commission: Commission, pricing: Pricing, *, version: int | None = None
) -> PriceSetting:
    """Keep with the commission what its price starts from; the next quote is drafted at it.

    Raises RulesBroken for a price that cannot be, NotNow once the client has answered, Stale if
    it is no longer at `version`.
    """
    commission = hold(commission.pk)
    require_priced(commission)
    require_sound(pricing, commission.workshop.currency)
    kept = price_kept(commission)
    kept.require_version(version)
    kept.basis, kept.net = pricing.basis.value, pricing.net
    kept.profit_basis = pricing.profit.basis.value if pricing.profit else ""
    kept.profit_share = pricing.profit.share if pricing.profit else None
    kept.save_next()
    return kept


@transaction.atomic
def learn(commission: Commission, *, times_over: int, slope: float) -> None:
    """Keep that the work is now made so many times more often in one go."""
    if times_over == 1:
        return
    kept = price_kept(hold(commission.pk))
    kept.times_over *= times_over
    kept.learning_slope = slope
    kept.save_next()


@transaction.atomic
def forget_learning(commission: Commission) -> None:
    """Reckon every piece at its standard time again."""
    kept = price_kept(hold(commission.pk))
    if kept.version:
        kept.times_over = 1
        kept.save_next()


def require_priced(commission: Commission) -> None:
    """Raise NotNow unless the commission still waits for its client's answer."""
    if commission.stage not in STILL_PRICED:
        raise NotNow(
            f"{commission.mark} is {commission.get_stage_display().lower()}; its price stands in"
            " the quote. Duplicate the commission to price it anew."
        )


def require_sound(pricing: Pricing, currency: str) -> None:
    """Raise RulesBroken for a price that cannot be kept, naming "net" or "profit/share"."""
    faults = pricing.faults()
    if not faults and pricing.net is not None:
        if pricing.net > MOST_NET:
            faults = [RuleBroken("net", "No price is so high; give fewer digits.")]
        elif rounded(pricing.net, currency) != pricing.net:
            faults = [
                RuleBroken("net", f"{currency} has no coin so small; give a price in whole coins.")
            ]
    if not faults and pricing.profit and pricing.profit.share >= 10:
        faults.append(RuleBroken("profit/share", "Give a profit below 1,000 %."))
    if faults:
        raise RulesBroken(faults)
