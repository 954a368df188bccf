"""Figures of the trade that are data: rows of CSV files, each with its source."""

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType

FOLDER = Path(__file__).resolve().parent.parent / "data"


@dataclass(frozen=True, slots=True, kw_only=True)
class DovetailSlope:
    """One rule for the slope of a dovetail: 1 in so much, for a kind of wood."""

    wood: str
    one_in: float
    source: str


def rows(name: str) -> tuple[dict[str, str], ...]:
    """The rows of a data file by column."""
    with (FOLDER / name).open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


@lru_cache(maxsize=1)
def dovetail_slopes() -> tuple[DovetailSlope, ...]:
    """The slope rules, which differ between sources."""
    return tuple(
        DovetailSlope(wood=row["wood"], one_in=float(row["one_in"]), source=row["source"])
        for row in rows("dovetail_slopes.csv")
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """One line of safety for papers and screens."""

    code: str
    text: str
    source: str


@lru_cache(maxsize=1)
def cautions() -> Mapping[str, Caution]:
    """The cautions that operations name, by code."""
    return MappingProxyType(
        {
            row["code"]: Caution(code=row["code"], text=row["text"], source=row["source"])
            for row in rows("cautions.csv")
        }
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Biscuit:
    """One size of biscuit: a flat lens of pressed beech."""

    size: str
    length_mm: float
    width_mm: float
    thickness_mm: float
    source: str


@lru_cache(maxsize=1)
def biscuits() -> Mapping[str, Biscuit]:
    """The biscuits by their size number, the smallest first."""
    return MappingProxyType(
        {
            row["size"]: Biscuit(
                size=row["size"],
                length_mm=float(row["length_mm"]),
                width_mm=float(row["width_mm"]),
                thickness_mm=float(row["thickness_mm"]),
                source=row["source"],
            )
            for row in rows("biscuits.csv")
        }
    )
