"""What if: the same commission so many times over, by another method, in other timber or joints."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from orders.core.book import joint_type, joint_types
from orders.core.errors import RuleBroken
from orders.core.species import species
from orders.core.times import Method

MOST_OFF = 1_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Supposition:
    """What is supposed to be otherwise in a commission; all of it at its default is nothing.

    `species` and `joints` say which takes the place of which, by their codes; `method` is that of
    every joint whose type can be made by it.
    """

    quantity: int = 1
    method: Method | None = None
    species: Mapping[str, str] = field(default_factory=dict)
    joints: Mapping[str, str] = field(default_factory=dict)

    def faults(self) -> list[RuleBroken]:
        """What cannot be supposed."""
        faults = []
        if not 1 <= self.quantity <= MOST_OFF:
            faults.append(RuleBroken("quantity", f"Give a whole number from 1 to {MOST_OFF:,}."))
        if self.method is Method.BOTH:
            faults.append(RuleBroken("method", "Choose hand or machine."))
        for place, known, codes in (
            ("species", species, self.species),
            ("joints", joint_type, self.joints),
        ):
            for was, to in codes.items():
                try:
                    known(was), known(to)
                except RuleBroken as fault:
                    faults.append(RuleBroken(f"{place}/{was}", fault.message))
        if not faults and self == Supposition():
            faults.append(
                RuleBroken("", "Suppose something: a quantity, a method, timber, joints.")
            )
        return faults

    def words(self) -> tuple[str, ...]:
        """What is supposed, a phrase each."""
        said = [f"{self.quantity} times over"] if self.quantity > 1 else []
        if self.method is not None:
            said.append("all joints by hand" if self.method is Method.HAND else "all by machine")
        said += [
            f"{species(to).label.lower()} for {species(was).label.lower()}"
            for was, to in self.species.items()
        ]
        names = joint_types()
        said += [
            f"{names[to].label.lower()} for {names[was].label.lower()}"
            for was, to in self.joints.items()
        ]
        return tuple(said)
