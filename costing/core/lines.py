"""A figure that unfolds: lines whose printed children add up to the printed parent."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from costing.core.money import LARGEST_EXPONENT, ZERO, rounded, shares_of
from orders.core.errors import RuleBroken

FINEST = Decimal("1E-10")


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One figure of an estimate, what it is made of, and the figures it unfolds to.

    `exact` is the amount before rounding; `amount` is what is printed. A line with children is
    the exact sum of what they print.
    """

    key: str
    label: str
    make_up: str
    amount: Decimal
    exact: Decimal
    children: tuple["Line", ...] = ()

    def named(self, label: str, make_up: str) -> "Line":
        """The same figure under another name."""
        return replace(self, label=label, make_up=make_up)

    def down_to(self, levels: int) -> "Line":
        """The same figure with so many levels, this one counted."""
        within = () if levels <= 1 else tuple(line.down_to(levels - 1) for line in self.children)
        return replace(self, children=within)

    def walk(self) -> Iterator["Line"]:
        """This line and all under it, each before its children."""
        yield self
        for child in self.children:
            yield from child.walk()

    def leaves(self) -> Iterator["Line"]:
        """The lines under this one that unfold no further."""
        return (line for line in self.walk() if not line.children)


class Draft:
    """A line whose amount is known but not yet rounded."""

    __slots__ = ("children", "exact", "key", "label", "make_up")

    def __init__(
        self,
        key: str,
        label: str,
        make_up: str = "",
        exact: Decimal = ZERO,
        children: Sequence["Draft"] = (),
    ) -> None:
        self.key = key
        self.label = label
        self.make_up = make_up
        self.children = tuple(children)
        self.exact: Decimal = (
            sum((child.exact for child in self.children), ZERO) if self.children else _fine(exact)
        )

    def printed(self, currency: str) -> Line:
        """This line rounded once, and all under it sharing out what it prints."""
        return self._as(rounded(self.exact, currency), currency)

    def _as(self, amount: Decimal, currency: str) -> Line:
        children: tuple[Line, ...] = ()
        if self.children:
            shares = shares_of(amount, [child.exact for child in self.children], currency)
            children = tuple(
                child._as(share, currency)
                for child, share in zip(self.children, shares, strict=True)
            )
        return Line(
            key=self.key,
            label=self.label,
            make_up=self.make_up,
            amount=amount,
            exact=self.exact,
            children=children,
        )


def _fine(exact: Decimal) -> Decimal:
    """An amount to ten decimals; raises RuleBroken where it has no room for them."""
    if not exact.is_finite() or exact.adjusted() > LARGEST_EXPONENT:
        raise RuleBroken("", "An amount comes to more than can be reckoned; correct its figures.")
    return exact.quantize(FINEST)
