"""Fixings and jigs that any joint may carry: nails, screws, pins and bolts; jigs set up once.

Glue and a few pins, so that a drawer's back can give way, is a choice and no fault.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from difflib import get_close_matches
from enum import StrEnum
from functools import lru_cache
from types import MappingProxyType

from orders.core.advice import NEEDS_A_FIXING
from orders.core.book import JointStudy
from orders.core.errors import RuleBroken
from orders.core.figures import rows
from orders.core.joint import Advice
from orders.core.vectors import unit

MOST_OF_ONE = 200
LEAST_COVER_MM = 1.0


class FixingKind(StrEnum):
    """What kind of thing it is."""

    NAIL = "nail"
    PANEL_PIN = "panel-pin"
    SCREW = "screw"
    BOLT = "bolt"

    @property
    def holds_against_pull(self) -> bool:
        """Whether it keeps an end from being pulled off, which nails and pins do badly."""
        return self in (FixingKind.SCREW, FixingKind.BOLT)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fixing:
    """One size of nail, pin, screw or bolt; its minutes include the pilot hole."""

    code: str
    kind: FixingKind
    label: str
    diameter_mm: float
    length_mm: float
    price_each: Decimal
    hand_min: float
    machine_min: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """So many of one fixing in every joint.

    Raises RuleBroken on "count" when that is no number of fixings.
    """

    fixing: Fixing
    count: int

    def __post_init__(self) -> None:
        """Refuse none, and more than anybody drives."""
        if not 1 <= self.count <= MOST_OF_ONE:
            raise RuleBroken(
                "count",
                f"Give between 1 and {MOST_OF_ONE} fixings of a kind for a joint.",
                nearest=min(max(self.count, 1), MOST_OF_ONE),
            )

    @property
    def label(self) -> str:
        """How many of what."""
        return f"{self.count} × {self.fixing.label}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Jig:
    """A jig for some operations: set up once, then each takes a share of its usual time.

    `marking_share` is what is left of the marking out.
    """

    code: str
    label: str
    operations: tuple[str, ...]
    setup_min: float
    share: float
    marking_share: float
    hold_to: str
    source: str


@lru_cache(maxsize=1)
def all_fixings() -> Mapping[str, Fixing]:
    """Every fixing by its code, as it comes with the program; prices and minutes are invented."""
    return MappingProxyType(
        {
            row["code"]: Fixing(
                code=row["code"],
                kind=FixingKind(row["kind"]),
                label=row["label"],
                diameter_mm=float(row["diameter_mm"]),
                length_mm=float(row["length_mm"]),
                price_each=Decimal(row["price_each"]),
                hand_min=float(row["hand_min"]),
                machine_min=float(row["machine_min"]),
                source=row["source"],
            )
            for row in rows("fixings.csv")
        }
    )


@lru_cache(maxsize=1)
def all_jigs() -> Mapping[str, Jig]:
    """Every jig by its code, as it comes with the program; figures are invented."""
    return MappingProxyType(
        {
            row["code"]: Jig(
                code=row["code"],
                label=row["label"],
                operations=tuple(row["operations"].split()),
                setup_min=float(row["setup_min"]),
                share=float(row["share"]),
                marking_share=float(row["marking_share"]),
                hold_to=row["hold_to"],
                source=row["source"],
            )
            for row in rows("jigs.csv")
        }
    )


def carried(code: str, count: int) -> Carried:
    """So many of the fixing of a code.

    Raises RuleBroken on "fixing", with near codes, when there is no such fixing.
    """
    known = all_fixings()
    if code not in known:
        near = get_close_matches(code, known, n=3, cutoff=0.4) or list(known)
        raise RuleBroken(
            "fixing", f"There is no fixing {code!r}; did you mean {' or '.join(near)}?"
        )
    return Carried(fixing=known[code], count=count)


def jig(code: str) -> Jig:
    """The jig of a code.

    Raises RuleBroken on "jig" when there is no such jig.
    """
    known = all_jigs()
    if code not in known:
        raise RuleBroken("jig", f"There is no jig {code!r}; choose from {', '.join(known)}.")
    return known[code]


def jigs_for(operations: Sequence[str]) -> tuple[Jig, ...]:
    """The jigs that serve any of some operations."""
    return tuple(each for each in all_jigs().values() if set(each.operations) & set(operations))


def require_fixings(study: JointStudy, fixings: Sequence[Carried]) -> None:
    """Raise RuleBroken on "fixings/<n>" where a fixing would come out of the far side.

    `nearest` is the greatest length that stays within the wood.
    """
    if not fixings:
        return
    way = unit(study.geometry.leaves)
    reaches = [
        solid.extent(way) for key in ("a", "b") for solid in study.geometry.member(key).solids
    ]
    deep = max(high for _, high in reaches) - min(low for low, _ in reaches)
    for number, each in enumerate(fixings):
        if each.fixing.length_mm > deep - LEAST_COVER_MM:
            raise RuleBroken(
                f"fixings/{number}",
                f"The {each.fixing.label} comes out on the far side; the parts are {deep:.4g} mm "
                "deep together there.",
                nearest=max(0.0, deep - LEAST_COVER_MM),
            )


def cost_of(fixings: Sequence[Carried], joints: int) -> Decimal:
    """What the fixings of some like joints cost, not rounded."""
    return sum((each.fixing.price_each * each.count * joints for each in fixings), start=Decimal(0))


def advice_with(
    study: JointStudy, fixings: Sequence[Carried], advice: Sequence[Advice] | None = None
) -> tuple[Advice, ...]:
    """The advice that still stands once a joint carries fixings.

    Any fixing answers glue that does too much alone; only screws and bolts answer a pull.
    """
    given = study.advice if advice is None else advice
    if not fixings:
        return tuple(given)
    holds = any(each.fixing.kind.holds_against_pull for each in fixings)
    return tuple(
        one for one in given if one not in NEEDS_A_FIXING and not (holds and one.answered_by_screws)
    )
