"""The commissions of the demo: what became of each, in working days before or after today."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from costing.core.pricing import EXPECTED, PriceBasis, Pricing
from orders.core.supposition import Supposition
from orders.core.times import Method


@dataclass(frozen=True, slots=True, kw_only=True)
class Chapter:
    """One commission: its order file, and the days on which its client and the shop moved.

    A day that is None has not come. `revisions` are the days on which a quote went out. Where a
    `pattern` is named, it makes the piece from its `sizes`. `invoiced` are the days on which an
    invoice went out for the next payment.
    """

    file: str
    enquired: int
    revisions: tuple[int, ...] = ()
    accepted: int | None = None
    declined: int | None = None
    released: int | None = None
    is_delivered: bool = False
    is_closed: bool = False
    due: int | None = None
    answered_by: str = ""
    offer: str = "usual"
    pattern: str = ""
    sizes: Mapping[str, float | int | str] = field(default_factory=dict)
    invoiced: tuple[int, ...] = ()
    pricing: Pricing = EXPECTED
    what_ifs: Mapping[str, Supposition] = field(default_factory=dict)
    costs: tuple[Mapping[str, str | Decimal], ...] = ()


STORY = (
    Chapter(
        file="refectory-tables",
        enquired=-41,
        revisions=(-36,),
        accepted=-30,
        answered_by="The bursar",
        released=-15,
        invoiced=(-30, -8, -7),
        due=-6,
        is_delivered=True,
        is_closed=True,
    ),
    Chapter(
        file="bookcases",
        enquired=-33,
        revisions=(-28,),
        accepted=-24,
        answered_by="Oona Castle",
        released=-11,
        invoiced=(-24, -5),
        due=-3,
        is_delivered=True,
    ),
    Chapter(
        file="blanket-chest",
        enquired=-29,
        revisions=(-25,),
        declined=-18,
        answered_by="Bryn Castle",
    ),
    Chapter(
        file="oak-hall-benches",
        enquired=-26,
        revisions=(-19,),
        accepted=-16,
        answered_by="Nuala Fenn",
        released=-3,
        invoiced=(-16,),
        due=0,
    ),
    Chapter(
        file="frame-and-panel-doors",
        enquired=-21,
        revisions=(-17,),
        accepted=-11,
        answered_by="Dervla Mott",
        released=-5,
        invoiced=(-11,),
        due=12,
    ),
    Chapter(
        file="mirror-frames",
        enquired=-9,
        revisions=(-7,),
        accepted=-1,
        answered_by="Lise Arden",
        due=15,
    ),
    Chapter(
        file="kitchen-table",
        enquired=-5,
        revisions=(-2,),
        due=26,
        offer="kitchen-table",
        pattern="table",
        sizes={
            "length_mm": 1800.0,
            "width_mm": 850.0,
            "top_thickness_mm": 22.0,
            "apron_thickness_mm": 18.0,
        },
    ),
    Chapter(file="drawers", enquired=-8, revisions=(-6, -3), due=24),
    Chapter(
        file="garden-gate",
        enquired=-2,
        due=30,
        pricing=Pricing(basis=PriceBasis.P80),
        costs=(
            {
                "kind": "finish",
                "label": "Microporous oil, three coats",
                "quantity": Decimal("0.6"),
                "unit": "l",
                "unit_price": Decimal("28.50"),
            },
            {"kind": "outwork", "label": "Band hinges, forged", "unit_price": Decimal(120)},
        ),
        what_ifs={
            "In white oak": Supposition(species={"iroko": "oak-white"}),
            "Cut by hand": Supposition(method=Method.HAND),
            "Five of them": Supposition(quantity=5),
        },
    ),
)
