"""What a joint type is: the sections it joins, its own dimensions, and its members as solids.

A type is one module in `orders/core/joints/` that ends in `JOINT = TheClass`. It declares its own
dimensions with `own(...)`, gives their rules of thumb, refuses what cannot be made, and describes
its members. Contact, glue area, what holds, drivers and drawings are computed from that elsewhere.
"""

import dataclasses
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from math import ceil, floor, isfinite
from types import MappingProxyType
from typing import Any, ClassVar, Self

from orders.core.errors import RuleBroken
from orders.core.solids import Geometry

GREATEST_MM = 20_000.0
MOST_TRIES = 6
LEAST_MM = 0.1
TOOL_SIZES_MM = (4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 13.0, 16.0, 19.0, 20.0, 22.0, 25.0, 32.0)

Given = Mapping[str, float | int | str | Decimal]


class Arrangement(StrEnum):
    """How two parts lie to each other: what a joint must suit before anything else."""

    CORNER = "corner"
    TEE = "tee"
    CROSS = "cross"
    BOX_CORNER = "box-corner"
    SHELF = "shelf"
    EDGE = "edge"
    END = "end"

    @property
    def meaning(self) -> str:
        """The arrangement in a few words."""
        return MEANINGS[self]


MEANINGS: Mapping[Arrangement, str] = MappingProxyType(
    {
        Arrangement.CORNER: "corner of a frame",
        Arrangement.TEE: "rail into a stile that runs on",
        Arrangement.CROSS: "two rails that cross",
        Arrangement.BOX_CORNER: "corner of two boards, as of a box",
        Arrangement.SHELF: "end of a board against a board that runs on",
        Arrangement.EDGE: "boards side by side",
        Arrangement.END: "parts end to end",
    }
)


class Unit(StrEnum):
    """What an own dimension is measured in; a choice is one of a few words."""

    MM = "mm"
    COUNT = "count"
    DEGREE = "degree"
    RATIO = "ratio"
    CHOICE = "choice"


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A part as a joint sees it: its cross-section and its finished length."""

    width_mm: float
    thickness_mm: float
    length_mm: float = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnField:
    """One own dimension of a joint type, as a form or a calculator shows it.

    `rule` is its rule of thumb in a sentence, `default` what the rule gives for the sections asked
    about, `least` and `most` the values that are ever allowed.
    """

    name: str
    label: str
    unit: Unit
    rule: str
    source: str
    least: float
    most: float = GREATEST_MM
    choices: tuple[str, ...] = ()
    default: float | int | str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """A warning about a joint that can be made: what to think of, why, and who says so.

    `answered_by_screws` tells those that are about being pulled apart.
    """

    text: str
    reason: str
    source: str
    answered_by_screws: bool = False


def own(
    label: str,
    rule: str,
    *,
    source: str,
    unit: Unit = Unit.MM,
    least: float = LEAST_MM,
    most: float = GREATEST_MM,
    choices: Iterable[str] = (),
) -> Any:
    """Declare an own dimension of a joint type."""
    return dataclasses.field(
        metadata={
            "label": label,
            "rule": rule,
            "source": source,
            "unit": unit,
            "least": least,
            "most": most,
            "choices": tuple(str(choice) for choice in choices),
        }
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """A joint between part a, which receives, and part b, which comes into it."""

    code: ClassVar[str]
    label: ClassVar[str]
    summary: ClassVar[str]
    a_label: ClassVar[str] = "stile"
    b_label: ClassVar[str] = "rail"
    example: ClassVar[tuple[Section, Section]]
    suits: ClassVar[tuple[Arrangement, ...]]

    a: Section
    b: Section

    @classmethod
    def fitted(cls, a: Section, b: Section, **given: float | int | str | Decimal) -> Self:
        """The joint for two sections; what is not given follows its rule of thumb.

        Raises RuleBroken, naming the dimension, when the joint cannot be made; its `nearest`, where
        there is one, keeps every rule of that dimension.
        """
        try:
            return cls._fitted(a, b, given)
        except RuleBroken as fault:
            raise cls._settled(a, b, given, fault) from fault

    @classmethod
    def _settled(cls, a: Section, b: Section, given: Given, fault: RuleBroken) -> RuleBroken:
        """The fault with a nearest value that is tried, as one rule may lead on to the next."""
        nearest = fault.nearest
        for _ in range(MOST_TRIES):
            if nearest is None or "/" in fault.field:
                break
            try:
                cls._fitted(a, b, {**given, fault.field: nearest})
            except RuleBroken as again:
                if again.field == fault.field:
                    nearest = again.nearest if again.nearest != nearest else None
                    continue
            return RuleBroken(fault.field, fault.message, nearest=nearest)
        return RuleBroken(
            fault.field, fault.message, nearest=fault.nearest if "/" in fault.field else None
        )

    @classmethod
    def _fitted(cls, a: Section, b: Section, given: Given) -> Self:
        _require_section("a", cls.a_label, a)
        _require_section("b", cls.b_label, b)
        own = own_fields(cls)
        names = {field.name for field in own}
        for name in given:
            if name not in names:
                known = ", ".join(sorted(names)) or "none"
                raise RuleBroken(
                    name, f"A {cls.label.lower()} has no dimension {name}; it has {known}."
                )
        read = {field.name: _read(field, given[field.name]) for field in own if field.name in given}
        return cls(a=a, b=b, **{**cls.rules_of_thumb(a, b, read), **read})

    @classmethod
    def fields(cls, a: Section | None = None, b: Section | None = None) -> tuple[OwnField, ...]:
        """The own dimensions, in the order to ask for them, with defaults for two sections."""
        defaults: Given = {}
        if a is not None and b is not None:
            defaults = cls.rules_of_thumb(a, b, {})
        return tuple(
            OwnField(name=field.name, default=_plain(defaults.get(field.name)), **field.metadata)
            for field in dataclasses.fields(cls)
            if field.metadata
        )

    @classmethod
    def rules_of_thumb(cls, a: Section, b: Section, given: Given) -> dict[str, Any]:
        """A value for every own dimension, following those already given."""
        raise NotImplementedError

    def __post_init__(self) -> None:
        """Refuse what cannot be made."""
        _require_section("a", self.a_label, self.a)
        _require_section("b", self.b_label, self.b)
        for field in own_fields(type(self)):
            _read(field, getattr(self, field.name))
        self.check()

    @classmethod
    def given_for(cls, arrangement: Arrangement) -> Given:
        """The own dimensions that make the joint one for an arrangement that its type suits."""
        return {}

    @property
    def arrangements(self) -> tuple[Arrangement, ...]:
        """The arrangements of its parts in which this joint can stand."""
        return self.suits

    def check(self) -> None:
        """Raise RuleBroken where the own dimensions do not fit the sections."""

    def geometry(self) -> Geometry:
        """The members in place."""
        raise NotImplementedError

    def proportions(self) -> tuple[Advice, ...]:
        """Advice on the own dimensions."""
        return ()

    def own_dimensions(self) -> dict[str, float | str]:
        """The own dimensions by name, as plain values."""
        return {
            field.name: value
            for field in self.fields()
            if (value := _plain(getattr(self, field.name))) is not None
        }


def require_at_most(field: str, value: float, limit: float, sentence: str) -> None:
    """Raise RuleBroken when a value exceeds what the parts allow."""
    if value > limit + 1e-9:
        raise RuleBroken(field, sentence, nearest=limit)


def nearest_tool(size_mm: float) -> float:
    """The size of chisel, cutter or bit nearest to a size; in doubt the smaller.

    Source: common practice, no source.
    """
    return min(TOOL_SIZES_MM, key=lambda tool: abs(tool - size_mm))


def visible_length(joint: Joint) -> float:
    """How much of each part is modelled beside a joint: enough, in whole mm, to be seen as one."""
    a, b = joint.a, joint.b
    return float(ceil(1.5 * max(a.width_mm, b.width_mm, a.thickness_mm, b.thickness_mm)))


def _require_section(key: str, label: str, section: Section) -> None:
    for name in ("width_mm", "thickness_mm", "length_mm"):
        size = getattr(section, name)
        what = name.removesuffix("_mm")
        if not isfinite(size) or size < LEAST_MM:
            raise RuleBroken(
                f"{key}/{name}", f"The {what} of the {label} must be more than 0.", nearest=LEAST_MM
            )
        if size > GREATEST_MM:
            raise RuleBroken(
                f"{key}/{name}",
                f"The {what} of the {label} must be 20 m or less.",
                nearest=GREATEST_MM,
            )


def _read(field: OwnField, value: float | int | str | Decimal) -> Any:
    """A given value as the type needs it."""
    if field.unit is Unit.CHOICE:
        if str(value) not in field.choices:
            raise RuleBroken(
                field.name, f"Choose the {field.label} from {', '.join(field.choices)}."
            )
        return str(value)
    if isinstance(value, str | bool):
        raise RuleBroken(field.name, f"The {field.label} must be a number.")
    number = float(value)
    if not isfinite(number) or number < field.least - 1e-9:
        raise RuleBroken(
            field.name,
            f"The {field.label} must be at least {field.least:g}.",
            nearest=field.least,
        )
    if number > field.most:
        raise RuleBroken(
            field.name,
            f"The {field.label} must be {field.most:g} or less.",
            nearest=field.most,
        )
    if field.unit is Unit.COUNT:
        if number != floor(number):
            raise RuleBroken(
                field.name,
                f"The {field.label} must be a whole number.",
                nearest=max(field.least, float(round(number))),
            )
        return int(number)
    return number


def _plain(value: Any) -> float | str | None:
    if value is None or isinstance(value, str):
        return None if value is None else str(value)
    return value if isinstance(value, int) else float(value)


def own_fields(kind: type[Joint]) -> tuple[OwnField, ...]:
    """The own dimensions of a type, without defaults; read once, for every joint asks."""
    if kind not in _OWN_FIELDS:
        _OWN_FIELDS[kind] = kind.fields()
    return _OWN_FIELDS[kind]


_OWN_FIELDS: dict[type[Joint], tuple[OwnField, ...]] = {}
