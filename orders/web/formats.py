"""How values are written on sheets: lengths in the workshop's unit, minutes, money, dates.

Every filter is built in, so a template needs no `load`. A filter gives the figure alone where its
unit stands in the head of the column, and figure with unit where a sentence holds it.
"""

from __future__ import annotations

from datetime import date, datetime
from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from babel.numbers import get_currency_precision, get_currency_symbol
from django import template
from django.utils import timezone

from orders.core.book import joint_types
from orders.core.lengths import MM_PER_INCH, LengthUnit, format_length
from orders.core.species import all_species
from orders.core.stages import LABELS, PATH, Stage
from orders.core.times import Method, extra_operations

if TYPE_CHECKING:
    from shop.models import Workshop

register = template.Library()

THIN = "\u202f"
"""A narrow space that never breaks a line: between thousands."""
STUCK = "\u00a0"
"""A space that never breaks a line: between a figure and its unit."""
TIMES = f"{STUCK}×{STUCK}"
FINISHED = (Stage.DELIVERED, Stage.CLOSED, Stage.DECLINED)
Figure = float | Decimal | int | None


def unit_of(workshop: Workshop | None) -> LengthUnit:
    """The unit in which a workshop reads and writes lengths."""
    return LengthUnit.INCH if workshop and workshop.unit == "inch" else LengthUnit.MM


def grouped(value: Figure, decimals: int) -> str:
    """A figure with that many decimals, halves rounded away from zero, thousands set apart."""
    if value is None or value == "":
        return ""
    exact = Decimal(repr(value)) if isinstance(value, float) else Decimal(value)
    rounded = exact.quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_UP)
    return f"{rounded:,f}".replace(",", THIN).replace("-", "\u2212")


def shown_length(value: float | Decimal, unit: LengthUnit) -> str:
    """A length to be read: where it is no binary fraction of an inch, to a thousandth of one."""
    tidy = Decimal(str(value)).quantize(Decimal("0.001"))
    text = format_length(tidy, unit)
    if unit is LengthUnit.INCH and "." in text:
        return f'{(tidy / MM_PER_INCH).quantize(Decimal("0.001"))}"'
    return text


@register.filter
def length(value: Any, workshop: Workshop | None = None) -> str | int:
    """A length in the workshop's unit: 720, or 28 3/8 inches with its mark.

    Of anything that has items it is their number, as in Django's filter of the same name.
    """
    if hasattr(value, "__len__"):
        return len(value)
    if value is None:
        return ""
    return shown_length(value, unit_of(workshop))


@register.filter
def unit_name(workshop: Workshop | None) -> str:
    """How the workshop's unit of length is written in the head of a column."""
    return unit_of(workshop).value


@register.filter
def size(part: Any, workshop: Workshop | None = None) -> str:
    """A part's finished size: thickness, width, length."""
    sizes = (part.thickness_mm, part.width_mm, part.length_mm)
    return TIMES.join(str(length(value, workshop)) for value in sizes)


@register.filter
def section(part: Any, workshop: Workshop | None = None) -> str:
    """A part's cross-section: thickness, width."""
    return TIMES.join(str(length(value, workshop)) for value in (part.thickness_mm, part.width_mm))


@register.filter
def minutes(value: Figure) -> str:
    """Minutes to a tenth, without their unit."""
    return grouped(value, 1)


@register.filter
def hours(value: Figure) -> str:
    """Minutes as hours to a tenth, without their unit."""
    return "" if value is None or value == "" else grouped(Decimal(str(value)) / 60, 1)


@register.filter
def duration(value: Figure) -> str:
    """Minutes in a sentence: 47 min, from two hours on 2.5 h."""
    if value is None or value == "":
        return ""
    return f"{hours(value)}{STUCK}h" if value >= 120 else f"{grouped(value, 0)}{STUCK}min"


@register.filter
def money(value: Figure, currency: str = "") -> str:
    """An amount to the currency's minor units, led by its sign if a currency is named."""
    decimals = get_currency_precision(currency) if currency else 2
    return _led(currency, grouped(value, decimals))


@register.filter
def amount(value: Figure, currency: str) -> str:
    """An amount to the currency's minor units, without its sign: for a column."""
    return grouped(value, get_currency_precision(currency))


@register.filter
def whole_money(value: Figure, currency: str = "") -> str:
    """An amount to the whole unit, for a large figure or an uncertain one."""
    return _led(currency, grouped(value, 0))


def _led(currency: str, figure: str) -> str:
    if not currency or not figure:
        return figure
    return f"{get_currency_symbol(currency, locale='en')}{STUCK}{figure}"


@register.filter
def figure(value: Figure, decimals: int = 1) -> str:
    """Any figure with that many decimals."""
    return grouped(value, int(decimals))


@register.filter
def share(value: Figure, decimals: int = 0) -> str:
    """A share of one in per cent: 22 %."""
    if value is None or value == "":
        return ""
    return f"{grouped(Decimal(str(value)) * 100, int(decimals))}{STUCK}%"


@register.filter
def area_cm2(value: Figure) -> str:
    """Square millimetres as square centimetres, without their unit."""
    return "" if value is None or value == "" else grouped(Decimal(str(value)) / 100, 1)


@register.filter
def volume_cm3(value: Figure) -> str:
    """Cubic millimetres as cubic centimetres, without their unit."""
    return "" if value is None or value == "" else grouped(Decimal(str(value)) / 1000, 1)


@register.filter
def volume_m3(value: Figure) -> str:
    """Cubic metres to the litre, without their unit."""
    return grouped(value, 3)


def _day_of(value: date | datetime) -> date:
    """The day on the workshop's own calendar."""
    if isinstance(value, datetime):
        return (timezone.localtime(value) if timezone.is_aware(value) else value).date()
    return value


@register.filter
def day(value: date | datetime | None) -> str:
    """A day of the working year: Thu 16 Apr."""
    return f"{_day_of(value):%a} {short_day(value)}" if value else ""


@register.filter
def short_day(value: date | datetime | None) -> str:
    """A day without its weekday: 16 Apr."""
    return f"{_day_of(value).day} {_day_of(value):%b}" if value else ""


@register.filter
def full_day(value: date | datetime | None) -> str:
    """A day that may lie in any year: 16 Apr 2026."""
    return f"{short_day(value)} {_day_of(value).year}" if value else ""


@register.filter
def clock_time(value: datetime | None) -> str:
    """The time of day: 10:38."""
    return f"{timezone.localtime(value):%H:%M}" if value else ""


@register.filter
def days_late(commission: Any, today: date) -> int:
    """Whole days after the day a commission is due; 0 if it is not late, or is finished."""
    if commission.due_on is None or commission.stage in FINISHED:
        return 0
    return int(max(0, (today - commission.due_on).days))


@register.filter
def mark(number: int | None) -> str:
    """A commission's number as it stands on papers: 0417."""
    return "" if number is None else f"{number:04d}"


@register.filter
def species_name(code: str) -> str:
    """A species as people call it."""
    known = all_species().get(code)
    return known.label if known else code


@register.filter
def joint_name(joint: Any) -> str:
    """A joint by its own name, else by its type's."""
    kind = joint_types().get(joint.type)
    return str(joint.name or (kind.label.lower() if kind else joint.type))


@register.filter
def type_name(code: str) -> str:
    """A joint type by its name in the joint book."""
    kind = joint_types().get(code)
    return kind.label if kind else code


@register.filter
def extra_name(extra: Any) -> str:
    """Extra work by its own name, else by the operation's usual one."""
    return str(extra.name or operation_names().get(extra.operation, extra.operation))


@lru_cache(maxsize=1)
def operation_names() -> dict[str, str]:
    """The usual names of operations that belong to no joint."""
    return {
        step.code: step.label
        for method in (Method.HAND, Method.MACHINE)
        for step in extra_operations(method)
    }


@register.filter
def stage_name(stage: str) -> str:
    """The word for a stage."""
    return LABELS[Stage(stage)]


@register.filter
def stage_steps(stage: str) -> list[dict[str, Any]]:
    """The ticks of a stage as a short dimension line, 92 units long, for its drawing.

    A declined commission ends in a cross after the first tick.
    """
    here = 1 if stage == Stage.DECLINED else PATH.index(Stage(stage))
    gap = 92 / (len(PATH) - 1)
    steps = []
    for index in range(len(PATH)):
        x = round(index * gap, 1)
        if index == here:
            state = "ends" if stage == Stage.DECLINED else "here"
        else:
            state = "passed" if index < here else "to-come"
        ahead = "" if index < here else "to-come"
        steps.append(
            {
                "state": state,
                "x": f"{x:g}",
                "left": f"{x - 4:g}",
                "right": f"{x + 4:g}",
                "next_x": f"{x + gap:g}",
                "ahead": ahead,
            }
        )
    return steps


@register.filter
def counted(count: int, noun: str) -> str:
    """A count with its noun: 1 part, 9 parts; irregular plurals as `assembly,assemblies`."""
    one, _, many = noun.partition(",")
    return f"{count}{STUCK}{one if count == 1 else many or one + 's'}"
