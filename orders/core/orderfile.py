"""The order file: a commission and its whole breakdown as one document.

The annotations and the metadata of these fields are the published format; a boundary derives the
JSON Schema and the reading from them. Lengths are millimetres, to a thousandth.
"""

# ruff: noqa: RUF009 -- `told` and its like answer a dataclass field, not a value.

from collections.abc import Mapping
from dataclasses import MISSING, dataclass, field
from datetime import date
from enum import StrEnum
from typing import Any, ClassVar

from orders.core.exposure import DurabilityClass, Exposure

SCHEMA_ID = "https://trenail.example/schemas/order-file-1.json"
MOST_ASSEMBLIES = 2_000
MOST_PARTS = 20_000
MOST_JOINTS = 20_000
MOST_EXTRAS = 20_000
STRICT: Mapping[str, Any] = {"extra": "forbid", "allow_inf_nan": False}
"""How a boundary reads the document: nothing unknown in it, and no number that is none."""


class Grain(StrEnum):
    """Which of the sizes of a part runs with the fibre."""

    LENGTH = "length"
    WIDTH = "width"


class Cutting(StrEnum):
    """How a joint is cut."""

    HAND = "hand"
    MACHINE = "machine"


def told(description: str, *, default: Any = MISSING, example: Any = None, **limits: Any) -> Any:
    """A field of the document with what is said of it, an example and its limits."""
    metadata = {"description": description, **limits}
    if example is not None:
        metadata["examples"] = [example]
    if default is MISSING:
        return field(metadata=metadata)
    return field(default=default, metadata=metadata)


def size(description: str, example: float) -> Any:
    """A finished size."""
    return told(description, example=example, ge=0.5, le=20_000)


def number(description: str, example: int) -> Any:
    """How many, one unless told."""
    return told(description, default=1, example=example, ge=1, le=9_999)


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderClient:
    """Whoever commissions the work; a client already known by this name is kept as it stands."""

    __pydantic_config__: ClassVar[Mapping[str, Any]] = STRICT

    name: str = told(
        "The client's name, unlike any other.",
        example="Byrne and Daughter",
        min_length=1,
        max_length=120,
    )
    contact: str = told("The person to speak to.", default="", example="A. Byrne", max_length=120)
    email: str = told("E-mail address.", default="", example="shop@byrne.example", max_length=254)
    phone: str = told("Telephone.", default="", example="01 555 0100", max_length=40)
    address: str = told("Postal address.", default="", example="4 Mill Lane", max_length=1_000)
    tax_number: str = told("Tax number.", default="", max_length=30)


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderPart:
    """Equal pieces of one species and one finished size."""

    __pydantic_config__: ClassVar[Mapping[str, Any]] = STRICT

    mark: str = told(
        "Short mark, unlike others of the assembly; the next of P1, P2 ... when empty.",
        default="",
        example="P1",
        max_length=8,
    )
    name: str = told("What it is.", example="stile", min_length=1, max_length=120)
    species: str = told(
        "Code of the timber species.", example="oak-white", min_length=1, max_length=40
    )
    length_mm: float = size("Finished length.", 900)
    width_mm: float = size("Finished width.", 48)
    thickness_mm: float = size("Finished thickness.", 24)
    quantity: int = number("Pieces in one assembly.", 2)
    grain: Grain = told("Which size runs with the fibre.", default=Grain.LENGTH)
    note: str = told("Anything else.", default="", max_length=200)


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderFixing:
    """So many of one nail, screw, pin or bolt in every joint."""

    __pydantic_config__: ClassVar[Mapping[str, Any]] = STRICT

    fixing: str = told("Code of the fixing.", example="panel-pin-20", max_length=40)
    count: int = told("How many in one joint.", default=1, example=3, ge=1, le=200)


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderJoint:
    """Equal joints of one type between two parts of the assembly."""

    __pydantic_config__: ClassVar[Mapping[str, Any]] = STRICT

    mark: str = told(
        "Short mark, unlike others of the assembly; the next of J1, J2 ... when empty.",
        default="",
        example="J1",
        max_length=8,
    )
    name: str = told("What it is called.", default="", example="upper corner", max_length=120)
    type: str = told("Code of the joint type.", example="mortise-tenon", max_length=40)
    part_a: str = told("Mark of the part that receives.", example="P1", max_length=8)
    part_b: str = told("Mark of the part that enters.", example="P2", max_length=8)
    count: int = number("Joints in one assembly.", 4)
    method: Cutting = told("How it is cut.", default=Cutting.MACHINE)
    dimensions: Mapping[str, float | str] = field(
        default_factory=dict,
        metadata={
            "description": "Own dimensions by name; what is left out follows the rule of thumb.",
            "examples": [{"tenon_length_mm": 32}],
        },
    )
    fixings: tuple[OrderFixing, ...] = told("What it carries beside its glue.", default=())
    jig: str = told("Code of a jig that is set up once for all.", default="", max_length=40)


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderExtra:
    """Work on an assembly that belongs to no joint."""

    __pydantic_config__: ClassVar[Mapping[str, Any]] = STRICT

    operation: str = told("Code of the operation.", example="plane-up", max_length=40)
    name: str = told("Its name, if not the usual one.", default="", max_length=120)
    minutes: float | None = told(
        "Own minutes for each; the standard time when null.", default=None, ge=0, le=100_000
    )
    count: int = number("How many times for one assembly.", 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderAssembly:
    """Parts and joints that are made and glued up together, and the assemblies within."""

    __pydantic_config__: ClassVar[Mapping[str, Any]] = STRICT

    name: str = told("What it is.", example="Door", min_length=1, max_length=120)
    quantity: int = number("How many in one of what it belongs to.", 2)
    parts: tuple[OrderPart, ...] = told("Its parts.", default=())
    joints: tuple[OrderJoint, ...] = told("Its joints.", default=())
    extras: tuple[OrderExtra, ...] = told("Other work on it.", default=())
    assemblies: "tuple[OrderAssembly, ...]" = told("The assemblies within it.", default=())


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderFile:
    """A commission of a bench-joinery workshop: what to make and how it is joined."""

    __pydantic_config__: ClassVar[Mapping[str, Any]] = STRICT

    version: int = told("Version of this format.", default=1, ge=1, le=1)
    title: str = told("What is commissioned.", example="Hall bench", min_length=1, max_length=120)
    client: OrderClient = told("Who commissions it.")
    exposure: Exposure = told("Where the work will stand.", default=Exposure.DRY_INTERIOR)
    glue_class: DurabilityClass | None = told(
        "Durability class of the glue; the lowest that will do when null.", default=None
    )
    glue_reason: str = told(
        "Why a lower class than the exposure asks for is taken.", default="", max_length=200
    )
    due_on: date | None = told("The day it is due.", default=None, example="2027-03-31")
    weight: float = told(
        "Importance; a late day of an order of importance 2 counts double.",
        default=1.0,
        ge=0.1,
        le=100,
    )
    note: str = told("Anything else.", default="", max_length=10_000)
    assemblies: tuple[OrderAssembly, ...] = told("What it is made of.", default=())
