"""What a pattern is: a few sizes in, an assembly out, each piece of it placed in space.

A pattern is one module in `orders/core/patterns/` that ends in `PATTERN = TheClass`. What it makes
is in the words of an order file, so that it enters an order as any other breakdown does and stays
editable. Sizes follow from where the pieces stand: x runs to the right, y up, z towards the eye.
"""

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from enum import StrEnum
from math import ceil, floor, isfinite
from typing import Any, ClassVar, Self

from orders.core.book import joint_type, study
from orders.core.errors import RuleBroken
from orders.core.joint import Section
from orders.core.movement import panel_clearance_mm
from orders.core.orderfile import Cutting, OrderAssembly, OrderExtra, OrderJoint, OrderPart
from orders.core.solids import Solid
from orders.core.species import species
from orders.core.tenons import usual_thickness
from orders.core.vectors import Point, Vector, plus

LEAST_PART_MM = 0.5
USUAL_TIMBER = "oak-white"
PlainValue = float | int | str


class Axis(StrEnum):
    """A direction in space."""

    X = "x"
    Y = "y"
    Z = "z"


class Measure(StrEnum):
    """What a field of a pattern is."""

    MM = "mm"
    COUNT = "count"
    PERCENT = "percent"
    DEGREE = "degree"
    CHOICE = "choice"
    SPECIES = "species"


@dataclass(frozen=True, slots=True, kw_only=True)
class PatternField:
    """One field of a pattern as a form shows it."""

    name: str
    label: str
    measure: Measure
    default: PlainValue
    least: float
    most: float
    choices: tuple[str, ...]
    help: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A box in space: its least corner and its three sizes, in mm.

    A piece that stands aslant has a flat `outline` as well, from its least corner, and the way
    `through` it; its sizes are then those of the straight board it is cut from.
    """

    at: Point
    size: Vector
    outline: tuple[Point, ...] = ()
    through: Vector = (0.0, 0.0, 0.0)

    @property
    def solid(self) -> Solid:
        """The wood that it takes up."""
        if self.outline:
            return Solid.prism(tuple(plus(self.at, each) for each in self.outline), self.through)
        return Solid.box(self.at, self.size)

    def along(self, axis: Axis) -> float:
        """Its size along an axis."""
        return self.size[list(Axis).index(axis)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One piece of a part in its place, as far as it shows: what enters another piece is left out.

    `assembly` names the assembly within the whole that the part belongs to, "" for the whole.
    """

    assembly: str
    mark: str
    name: str
    block: Block
    grain: Axis


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """Room that must stay free: what for, how much, and why."""

    label: str
    value_mm: float
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """What a pattern makes."""

    assembly: OrderAssembly
    pieces: tuple[Piece, ...]
    gaps: tuple[Gap, ...] = ()
    cautions: tuple[str, ...] = ()


def asked(
    label: str,
    default: PlainValue,
    *,
    least: float = 0.0,
    most: float = 20_000.0,
    measure: Measure = Measure.MM,
    choices: Sequence[str] = (),
    help: str = "",
) -> Any:
    """Declare a field of a pattern with its default and the range that makes sense."""
    return field(
        default=default,
        metadata={
            "label": label,
            "default": default,
            "measure": measure,
            "least": least,
            "most": most,
            "choices": tuple(choices),
            "help": help,
        },
    )


def timber() -> Any:
    """The field that every pattern has: what it is made of."""
    return asked("timber", USUAL_TIMBER, measure=Measure.SPECIES)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    """A parametric assembly."""

    code: ClassVar[str]
    label: ClassVar[str]
    summary: ClassVar[str]
    caution: ClassVar[str] = ""

    @classmethod
    def fields(cls) -> tuple[PatternField, ...]:
        """The fields in the order to ask for them."""
        return tuple(
            PatternField(name=each.name, **each.metadata) for each in dataclasses.fields(cls)
        )

    @classmethod
    def of(cls, **given: float | int | str | Decimal) -> Self:
        """The pattern with what is given; the rest keeps its defaults.

        Raises RuleBroken on the field that is wrong, with the nearest value that would do.
        """
        known = {each.name: each for each in cls.fields()}
        for name in given:
            if name not in known:
                raise RuleBroken(
                    name, f"A {cls.label.lower()} has no {name}; it has {', '.join(known)}."
                )
        return cls(**{name: _read(known[name], value) for name, value in given.items()})

    def __post_init__(self) -> None:
        """Refuse sizes that do not go together."""
        for each in self.fields():
            _read(each, getattr(self, each.name))
        self.check()

    def check(self) -> None:
        """Raise RuleBroken where sizes do not go together."""

    def made(self) -> Made:
        """Parts, joints, gaps, and every piece in its place.

        Raises RuleBroken on the field whose size makes a joint impossible.
        """
        raise NotImplementedError


class Draft:
    """An assembly while a pattern builds it: parts get their marks, joints are tried as they come."""

    def __init__(self, name: str, timber: str, quantity: int = 1) -> None:
        self.name, self.timber, self.quantity = name, timber, quantity
        self.parts: list[OrderPart] = []
        self.joints: list[OrderJoint] = []
        self.extras: list[OrderExtra] = []
        self.inner: list[OrderAssembly] = []
        self.pieces: list[Piece] = []
        self.gaps: list[Gap] = []

    def part(
        self,
        name: str,
        blocks: Sequence[Block],
        *,
        along: Axis,
        flat: Axis,
        longer_mm: float = 0.0,
        wider_mm: float = 0.0,
        thicker_mm: float = 0.0,
        count: int | None = None,
        note: str = "",
    ) -> str:
        """Add equal pieces where they stand and answer their mark.

        `along` is the way of the grain and of the length, `flat` that of the thickness; what
        enters other pieces, or will be cut away, is added to the size that shows.
        """
        first = blocks[0]
        across = next(axis for axis in Axis if axis not in (along, flat))
        mark = f"P{len(self.parts) + 1}"
        self.parts.append(
            OrderPart(
                mark=mark,
                name=name,
                species=self.timber,
                length_mm=rounded(first.along(along) + longer_mm),
                width_mm=rounded(first.along(across) + wider_mm),
                thickness_mm=rounded(first.along(flat) + thicker_mm),
                quantity=count or len(blocks),
                note=note,
            )
        )
        self.pieces.extend(
            Piece(assembly="", mark=mark, name=name, block=block, grain=along) for block in blocks
        )
        return mark

    def joint(
        self,
        type: str,
        a: str,
        b: str,
        *,
        count: int,
        name: str,
        blame: str,
        method: Cutting = Cutting.MACHINE,
        given: Mapping[str, float | str] | None = None,
    ) -> None:
        """Join part b into part a; the joint is fitted at once.

        What is not given of its dimensions follows the joint's rules of thumb.

        Raises RuleBroken on the field `blame` when these parts cannot be so joined.
        """
        dimensions = {
            key: rounded(value) if isinstance(value, float) else value
            for key, value in (given or {}).items()
        }
        try:
            study(joint_type(type).fitted(self._section(a), self._section(b), **dimensions))
        except RuleBroken as fault:
            raise RuleBroken(blame, f"The {name} cannot be made: {fault.message}") from fault
        self.joints.append(
            OrderJoint(
                mark=f"J{len(self.joints) + 1}",
                name=name,
                type=type,
                part_a=a,
                part_b=b,
                count=count,
                method=method,
                dimensions=dimensions,
            )
        )

    def extra(self, operation: str, count: int = 1) -> None:
        """Add work that belongs to no joint."""
        self.extras.append(OrderExtra(operation=operation, count=count))

    def gap(self, label: str, value_mm: float, reason: str) -> None:
        """Say what room must stay free."""
        self.gaps.append(Gap(label=label, value_mm=round(value_mm, 1), reason=reason))

    def include(self, other: "Draft", places: Sequence[Vector]) -> None:
        """Take in another assembly, once at every place."""
        self.inner.append(other.finished())
        for place in places:
            for piece in other.pieces:
                moved = replace(piece.block, at=plus(piece.block.at, place))
                self.pieces.append(replace(piece, assembly=other.name, block=moved))
        self.gaps.extend(other.gaps)

    def finished(self) -> OrderAssembly:
        """The assembly with the usual work on any assembly."""
        usual = ("cut-to-size", "plane-up", "mark-parts", "assemble", "clean-up", "sand")
        return OrderAssembly(
            name=self.name,
            quantity=self.quantity,
            parts=tuple(self.parts),
            joints=tuple(self.joints),
            extras=(*(OrderExtra(operation=code) for code in usual), *self.extras),
            assemblies=tuple(self.inner),
        )

    def made(self, *cautions: str) -> Made:
        """Everything together."""
        return Made(
            assembly=self.finished(),
            pieces=tuple(self.pieces),
            gaps=tuple(self.gaps),
            cautions=tuple(caution for caution in cautions if caution),
        )

    def _section(self, mark: str) -> Section:
        part = next(each for each in self.parts if each.mark == mark)
        return Section(
            width_mm=part.width_mm, thickness_mm=part.thickness_mm, length_mm=part.length_mm
        )


def block(x: float, y: float, z: float, dx: float, dy: float, dz: float) -> Block:
    """A box from its least corner and its sizes."""
    return Block(at=(x, y, z), size=(dx, dy, dz))


def in_joint_mm(type: str, a: Section, b: Section, *, blame: str) -> float:
    """How much of part b's finished length enters a joint by its rules of thumb.

    Raises RuleBroken on the field `blame` when these parts cannot be so joined.
    """
    try:
        return study(joint_type(type).fitted(a, b)).b_length_in_joint_mm
    except RuleBroken as fault:
        raise RuleBroken(blame, f"That joint cannot be made: {fault.message}") from fault


def tenon_in_post(post_mm: float, rail_mm: float) -> dict[str, float]:
    """Thickness and length of a tenon in a square post that meets no tenon from the other side.

    Source: common practice, no source.
    """
    post = Section(width_mm=post_mm, thickness_mm=post_mm)
    thick = usual_thickness(post, Section(width_mm=rail_mm, thickness_mm=rail_mm))
    return {
        "tenon_thickness_mm": thick,
        "tenon_length_mm": rounded(max(post_mm / 4, (post_mm - thick) / 2 - 1)),
    }


def rounded(size_mm: float) -> float:
    """A size to a thousandth of a millimetre, as an order file holds it."""
    return round(size_mm, 3)


def clearance_mm(panel_mm: float, timber: str, made_percent: float, most_percent: float) -> float:
    """Room in each of two grooves for a panel of solid wood to swell, at least 1 mm.

    Source: Wood Handbook, Forest Products Laboratory, equation 13-1; the least is common practice,
    no source.
    """
    coefficient = species(timber).tangential_coefficient
    return max(1.0, panel_clearance_mm(panel_mm, coefficient, made_percent, most_percent))


def require_at_least(field: str, value: float, limit: float, sentence: str) -> None:
    """Raise RuleBroken when a value falls short of what the other sizes ask for."""
    if value < limit - 1e-9:
        raise RuleBroken(field, sentence, nearest=ceil(limit * 1e3) / 1e3)


def require_at_most(field: str, value: float, limit: float, sentence: str) -> None:
    """Raise RuleBroken when a value exceeds what the other sizes allow."""
    if value > limit + 1e-9:
        raise RuleBroken(field, sentence, nearest=floor(limit * 1e3) / 1e3)


def _read(field: PatternField, value: float | int | str | Decimal) -> Any:
    """A given value as the pattern needs it."""
    if field.measure is Measure.SPECIES:
        try:
            return species(str(value)).code
        except RuleBroken as fault:
            raise RuleBroken(field.name, fault.message) from fault
    if field.measure is Measure.CHOICE:
        if str(value) not in field.choices:
            raise RuleBroken(
                field.name, f"Choose the {field.label} from {', '.join(field.choices)}."
            )
        return str(value)
    if isinstance(value, str | bool):
        raise RuleBroken(field.name, f"The {field.label} must be a number.")
    number = float(value)
    if not isfinite(number) or not field.least <= number <= field.most:
        nearest = min(max(number, field.least), field.most) if isfinite(number) else field.least
        raise RuleBroken(
            field.name,
            f"The {field.label} must be between {field.least:g} and {field.most:g}.",
            nearest=nearest,
        )
    if field.measure is Measure.COUNT:
        if number != int(number):
            raise RuleBroken(
                field.name,
                f"The {field.label} must be a whole number.",
                nearest=float(round(number)),
            )
        return int(number)
    return number
