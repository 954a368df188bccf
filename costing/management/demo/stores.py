"""What the demo's orders were charged with: boards, glue and outwork, near to what was quoted."""

from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from random import Random

from costing.core.jobcost import CostKind
from costing.models import Charge, Quote
from costing.services.charging import quoted_prices, wood_label
from costing.services.quotations import RECKONING, estimate_of
from orders.models import Commission
from shop.models import User

SEED = 1887
USED = (0.92, 1.18)
DEARER = (0.98, 1.06)
"""Quantities and prices against those quoted; invented for the demo."""

FINE = Decimal("0.0001")


class Stores:
    """Issues stock to orders, seeded, so that the same day tells the same story."""

    def __init__(self, seed: int = SEED) -> None:
        self.random = Random(seed)

    def issue(self, order: Commission, on: date, *, by: User) -> None:
        """Charge an order with all that was quoted of timber and glue; some boards come back."""
        quote = Quote.objects.filter(commission=order, state=Quote.State.ACCEPTED).first()
        if quote is None:
            return
        charges = list(self._charges(order, quote, on, by))
        assemblies = list(order.assemblies.all()[:2])
        if len(assemblies) == 1:
            for one in charges:
                one.assembly = assemblies[0]
        Charge.objects.bulk_create(charges)

    def _charges(self, order: Commission, quote: Quote, on: date, by: User) -> Iterator[Charge]:
        prices = quoted_prices(RECKONING.validate_python(quote.content["reckoning"]))
        made = estimate_of(quote)
        for need in made.timber:
            unit, quantity = ("m²", need.sheet_m2) if need.sheet_m2 else ("m³", need.gross_m3)
            label = wood_label(need.species, need.thickness_mm)
            issued = quantity * self.random.uniform(*USED)
            price = prices[label, unit]
            yield self._charge(order, CostKind.TIMBER, label, unit, issued, price, on, by)
            if issued > quantity * 1.1:
                back = (quantity - issued) / 2
                yield self._charge(order, CostKind.TIMBER, label, unit, back, price, on, by)
        glue = next((line for line in made.lines if line.key == CostKind.GLUE), None)
        bought = [(label, price) for (label, unit), price in prices.items() if unit == "kg"]
        if glue is not None and bought:
            label, price = bought[0]
            spread = float(glue.exact / price) * self.random.uniform(1.0, 1.5)
            yield self._charge(order, CostKind.GLUE, label, "kg", spread, price, on, by)

    def _charge(
        self,
        order: Commission,
        kind: CostKind,
        label: str,
        unit: str,
        quantity: float,
        price: Decimal,
        on: date,
        by: User,
    ) -> Charge:
        paid = price * Decimal(str(self.random.uniform(*DEARER)))
        return Charge(
            commission=order,
            kind=kind.value,
            label=label,
            unit=unit,
            quantity=Decimal(str(quantity)).quantize(FINE) or FINE,
            unit_price=paid.quantize(FINE),
            quoted_price=price,
            on=on,
            by=by,
        )
