"""Lengths as people write them, in millimetres or in inches with binary fractions."""

import re
from decimal import Decimal
from enum import StrEnum

from orders.core.errors import RuleBroken

MM_PER_INCH = Decimal("25.4")
FINEST_INCH = 64
STORED_STEP_MM = Decimal("0.001")
LONGEST_MM = Decimal(1_000_000)

_VULGAR = {
    "½": "1/2",
    "¼": "1/4",
    "¾": "3/4",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
}
_MARKS = str.maketrans(
    {"″": '"', "”": '"', "“": '"', "′": "'", "’": "'", "‘": "'", "⁄": "/", "\u00a0": " "}
)
_NUMBER = r"\d+(?:[.,]\d+)?|[.,]\d+"
_METRIC = re.compile(rf"({_NUMBER})\s*(mm|cm|m)?")
_IMPERIAL = re.compile(
    rf"(?:(?P<feet>{_NUMBER})\s*(?:'|ft\b|feet\b|foot\b)[\s-]*)?"
    rf"(?:(?P<inches>(?:{_NUMBER})(?![\d/]))?[\s-]*"
    r"(?:(?P<above>\d+)/(?P<below>\d+))?\s*(?P<mark>\"|''|in\b|inch\b|inches\b)?)?"
)
_METRES = {"mm": Decimal(1), "cm": Decimal(10), "m": Decimal(1000)}


class LengthUnit(StrEnum):
    """What a bare number means, and what lengths are shown in."""

    MM = "mm"
    INCH = "in"


def parse_length(
    text: str, unit: LengthUnit | str = LengthUnit.MM, *, field: str = "length"
) -> Decimal:
    """Exact millimetres of a length as typed; a bare number is in `unit`.

    Reads 900, 30.5, 30,5, 90 cm, 1.2 m, 3/4", 1 3/16", 1-1/2 in, 2' 6" and 2 ft. The decimal
    mark is a point or a comma; nothing separates thousands. Raises RuleBroken, naming `field`,
    for anything else, for a fraction without inches, and for 1,200, which may mean two things.
    """
    typed = text.strip()
    plain = typed.translate(_MARKS).strip().lower()
    for vulgar, fraction in _VULGAR.items():
        plain = plain.replace(vulgar, f" {fraction}")
    plain = re.sub(r"\s+", " ", plain).strip()
    if not plain:
        raise RuleBroken(field, "Give a length.")
    if re.search(r"(?<![\d.,])[1-9]\d{0,2},\d{3}(?!\d)", plain):
        raise RuleBroken(
            field,
            f"{typed} may mean thousands or thousandths; "
            f"write {typed.replace(',', '')} or {typed.replace(',', '.')}.",
        )
    millimetres = _metric(plain, unit)
    if millimetres is None:
        millimetres = _imperial(plain, unit, field, typed)
    if millimetres > LONGEST_MM:
        raise RuleBroken(field, f"{typed} is longer than a kilometre; check the unit.")
    return millimetres


def format_length(millimetres: float | Decimal, unit: LengthUnit | str = LengthUnit.MM) -> str:
    """The length as a person writes it, such that `parse_length` gives it back.

    Inches are shown in halves to sixty-fourths when the length is one to within the thousandth of
    a millimetre it is stored to, otherwise in decimals.
    """
    exact = millimetres if isinstance(millimetres, Decimal) else Decimal(repr(float(millimetres)))
    if LengthUnit(unit) is LengthUnit.MM:
        return _trimmed(exact)
    pieces = int((exact / MM_PER_INCH * FINEST_INCH).to_integral_value())
    if abs(pieces * MM_PER_INCH / FINEST_INCH - exact) > STORED_STEP_MM / 2:
        return f'{_trimmed((exact / MM_PER_INCH).quantize(Decimal("0.00001")))}"'
    sign = "-" if pieces < 0 else ""
    whole, above = divmod(abs(pieces), FINEST_INCH)
    below = FINEST_INCH
    while above and above % 2 == 0:
        above, below = above // 2, below // 2
    parts = [str(whole)] if whole or not above else []
    if above:
        parts.append(f"{above}/{below}")
    return f'{sign}{" ".join(parts)}"'


def _metric(plain: str, unit: LengthUnit | str) -> Decimal | None:
    found = _METRIC.fullmatch(plain)
    if not found or (not found[2] and LengthUnit(unit) is not LengthUnit.MM):
        return None
    return _decimal(found[1]) * _METRES[found[2] or "mm"]


def _imperial(plain: str, unit: LengthUnit | str, field: str, typed: str) -> Decimal:
    found = _IMPERIAL.fullmatch(plain)
    if not found or not (found["feet"] or found["inches"] or found["above"]):
        raise RuleBroken(field, f'{typed} is not a length; write it as 900, 30.5 or 1 3/16".')
    if not (found["mark"] or found["feet"]) and LengthUnit(unit) is not LengthUnit.INCH:
        raise RuleBroken(field, f'A fraction is read in inches; write {typed}" or use decimals.')
    if found["above"] and not _is_binary(int(found["below"])):
        raise RuleBroken(field, f"{typed}: an inch is divided by 2, 4, 8, 16, 32, 64 or 128.")
    inches = _decimal(found["feet"] or "0") * 12 + _decimal(found["inches"] or "0")
    if found["above"]:
        inches += Decimal(found["above"]) / Decimal(found["below"])
    return inches * MM_PER_INCH


def _is_binary(below: int) -> bool:
    return 0 < below <= 128 and below & (below - 1) == 0


def _decimal(number: str) -> Decimal:
    return Decimal(number.replace(",", "."))


def _trimmed(exact: Decimal) -> str:
    text = f"{exact:f}"
    return (text.rstrip("0").rstrip(".") if "." in text else text) or "0"
