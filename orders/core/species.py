"""Timber species: density, hardness, movement and bonding, read from the species table."""

from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from enum import StrEnum
from functools import lru_cache
from types import MappingProxyType

from orders.core.errors import RuleBroken
from orders.core.figures import rows

REFERENCE_HARDNESS_N = 4448.222
HARDNESS_EXPONENT = 0.3


class Bonding(StrEnum):
    """How readily a species is glued. Source: Wood Handbook, table 10-1."""

    EASILY = "easily"
    WELL = "well"
    SATISFACTORILY = "satisfactorily"
    WITH_DIFFICULTY = "with-difficulty"
    NOT_LISTED = "not-listed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Species:
    """One species at 12 % moisture.

    Coefficients are the change of size per size and per 1 % of moisture, radial and tangential;
    shrinkages are per cent from green to ovendry. `source` says where each figure comes from.
    """

    code: str
    label: str
    density_kg_m3: float
    hardness_n: float
    radial_coefficient: float
    tangential_coefficient: float
    radial_shrinkage: float
    tangential_shrinkage: float
    is_hardwood: bool
    bonding: Bonding
    source: str

    @property
    def time_factor(self) -> float:
        """How much longer cutting takes than in wood of 1000 lbf hardness.

        The exponent makes wood of twice the hardness take 23 % longer, in keeping with the 10 to
        20 % that hardwood takes over softwood.
        Source: The Technique of Furniture Making, appendix on costing, for the 10 to 20 %; the
        reference hardness is invented for the demo.
        """
        return float((self.hardness_n / REFERENCE_HARDNESS_N) ** HARDNESS_EXPONENT)


@lru_cache(maxsize=1)
def all_species() -> Mapping[str, Species]:
    """Every species of the table by its code."""
    return MappingProxyType(
        {
            row["code"]: Species(
                code=row["code"],
                label=row["label"],
                density_kg_m3=float(row["density_kg_m3"]),
                hardness_n=float(row["hardness_n"]),
                radial_coefficient=float(row["radial_coefficient"]),
                tangential_coefficient=float(row["tangential_coefficient"]),
                radial_shrinkage=float(row["radial_shrinkage"]),
                tangential_shrinkage=float(row["tangential_shrinkage"]),
                is_hardwood=row["is_hardwood"] == "yes",
                bonding=Bonding(row["bonding"]),
                source=row["source"],
            )
            for row in rows("species.csv")
        }
    )


def species(code: str) -> Species:
    """The species of a code.

    Raises RuleBroken on "species", with near names, when the table has no such species.
    """
    known = all_species()
    if code in known:
        return known[code]
    raise RuleBroken("species", f"There is no species {code!r} in the table.{_near(code)}")


def _near(name: str) -> str:
    """A question that offers the codes nearest to a name, or whose words it shares."""
    known = all_species()
    words = set(name.lower().replace("-", " ").split())
    sharing = [code for code in known if words & set(code.split("-"))]
    labels = {kind.label.lower(): code for code, kind in known.items()}
    close = get_close_matches(name.lower(), [*known, *labels], n=3, cutoff=0.5)
    near = list(dict.fromkeys([*sharing, *(labels.get(match, match) for match in close)]))[:4]
    return f" Did you mean {' or '.join(near)}?" if near else ""
