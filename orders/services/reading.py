"""Values as they come in, read against the rules; every fault is kept beside its field."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from typing import Any, TypeVar

from orders.core.errors import RuleBroken, RulesBroken

Choice = TypeVar("Choice", bound=StrEnum)


class Reader:
    """Reads values one by one and raises all their faults at once.

    A value at fault is read as its fallback, which nobody sees, because `settle` raises.
    """

    def __init__(self, prefix: str = "", faults: list[RuleBroken] | None = None) -> None:
        self.prefix = prefix
        self.faults: list[RuleBroken] = [] if faults is None else faults

    def under(self, prefix: str) -> Reader:
        """A reader of the values held under `prefix`; it shares the faults."""
        return Reader(f"{self.prefix}/{prefix}" if self.prefix else prefix, self.faults)

    def refuse(self, field: str, message: str, *, nearest: float | None = None) -> None:
        """Keep a fault."""
        fault = RuleBroken(field, message, nearest=nearest)
        self.faults.append(fault.under(self.prefix) if self.prefix else fault)

    @contextmanager
    def keeping(self) -> Iterator[None]:
        """Keep the fault that a rule raises inside."""
        try:
            yield
        except RulesBroken as several:
            for fault in several.errors:
                self.refuse(fault.field, fault.message, nearest=fault.nearest)
        except RuleBroken as fault:
            self.refuse(fault.field, fault.message, nearest=fault.nearest)

    def settle(self) -> None:
        """Raise RuleBroken for one fault, RulesBroken for several."""
        if len(self.faults) == 1:
            raise self.faults[0]
        if self.faults:
            raise RulesBroken(self.faults)

    def text(
        self,
        field: str,
        value: str,
        label: str,
        *,
        most: int,
        needed: bool = False,
        lines: bool = False,
    ) -> str:
        """Words of at most so many characters, without needless blanks; in lines or in one."""
        words = str(value or "").strip()
        if any(_is_unprintable(letter) for letter in words):
            self.refuse(field, f"Take the unprintable characters out of {label}.")
            return ""
        if not lines:
            words = " ".join(words.split())
        if needed and not words:
            self.refuse(field, f"Give {label}.")
        if len(words) > most:
            self.refuse(
                field, f"Shorten {label} to {most} characters; it has {len(words)}.", nearest=most
            )
        return words[:most]

    def whole(
        self, field: str, value: int, label: str, *, least: int = 1, most: int = 9_999
    ) -> int:
        """A whole number within limits."""
        number = _decimal(value)
        if number is None or number != number.to_integral_value():
            self.refuse(field, f"Give {label} as a whole number.")
            return least
        if not least <= number <= most:
            self.refuse(
                field,
                f"Give {label} between {least:,} and {most:,}.",
                nearest=least if number < least else most,
            )
            return least
        return int(number)

    def number(
        self,
        field: str,
        value: Decimal | float,
        label: str,
        *,
        least: Decimal,
        most: Decimal,
        places: int,
        unit: str = "",
        rounds: bool = False,
    ) -> Decimal:
        """A number within limits, to so many decimals; finer ones are refused unless it rounds."""
        number = _decimal(value)
        if number is None:
            self.refuse(field, f"Give {label} as a number.")
            return least
        if not least <= number <= most:
            self.refuse(
                field,
                f"Give {label} between {least.normalize():,f} and {most.normalize():,f}{unit}.",
                nearest=float(least if number < least else most),
            )
            return least
        rounded = round(number, places)
        if rounded != number and not rounds:
            self.refuse(
                field,
                f"Give {label} with {places} decimal{'s' if places > 1 else ''} at most.",
                nearest=float(rounded),
            )
        return rounded

    def choice(self, field: str, value: str, kind: type[Choice], label: str) -> Choice:
        """One of a few words."""
        try:
            return kind(value)
        except ValueError:
            words = ", ".join(kind)
            self.refuse(field, f"Choose {label} from {words}.")
            return next(iter(kind))


def _is_unprintable(letter: str) -> bool:
    code = ord(letter)
    is_control = code < 32 and letter not in "\t\r\n"
    return is_control or code == 127 or 0xD800 <= code <= 0xDFFF or code & 0xFFFE == 0xFFFE


def _decimal(value: Any) -> Decimal | None:
    """The exact number a person would read off the value; None if there is none."""
    if isinstance(value, bool) or value is None:
        return None
    try:
        number = value if isinstance(value, Decimal) else Decimal(str(value).strip())
    except InvalidOperation:
        return None
    return number if number.is_finite() else None
