"""Estimates: a commission's breakdown, the rates and the rack of a day, and the price they make."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from costing.core.estimate import (
    Assembly,
    Estimate,
    EstimateInput,
    ExtraLine,
    GlueArea,
    Method,
    OperationLine,
    PartSize,
    Pricing,
    Rack,
    RateBook,
    estimate,
    estimates,
)
from costing.core.quantity import learnt
from costing.models import ExtraCost, PriceSetting, RateEdition
from costing.services.extra_costs import extra_lines
from costing.services.learned_spread import LearnedSpread
from costing.services.price_setting import price_kept, pricing_of
from costing.services.rack import rack_of
from costing.services.rates import rate_book, rates_in_force
from orders.core.exposure import DurabilityClass
from orders.core.fixings import Carried
from orders.core.times import StandardTimes, TimedOperation
from orders.models import Commission, StandardEdition
from orders.services.breakdown import (
    AssemblyLine,
    Breakdown,
    JointLine,
    PartLine,
    breakdown,
)
from orders.services.rows import Rows
from orders.services.standards import current_edition, times_of
from shop.models import Workshop


@dataclass(frozen=True, slots=True, kw_only=True)
class Basis:
    """All that a price is made from, read once; `roots` names each assembly's top assembly."""

    commission: EstimateInput
    rates: RateBook
    rack: Rack
    standard_edition: StandardEdition
    rate_edition: RateEdition
    glue_class: DurabilityClass
    species: frozenset[str]
    roots: Mapping[str, str]
    pricing: Pricing

    @property
    def glue_statement(self) -> str:
        """The glue as a quotation names it; "" where nothing is glued."""
        if not self.commission.glue:
            return ""
        glue = self.rack.glue_for(self.glue_class)
        return f"{glue.label}, durability class {glue.durability_class} of EN 204"


@dataclass(frozen=True, slots=True, kw_only=True)
class Own:
    """What is kept with a commission beside its breakdown: its price and its extra costs."""

    price: PriceSetting
    extras: tuple[ExtraLine, ...]

    @classmethod
    def of(cls, commission: Commission) -> Own:
        """In two queries."""
        extras = extra_lines(ExtraCost.objects.filter(commission=commission))
        return cls(price=price_kept(commission), extras=extras)


@dataclass(frozen=True, slots=True, kw_only=True)
class Books:
    """The standard times, the rates and the rack of a workshop on a day, read once."""

    standard_edition: StandardEdition
    times: StandardTimes
    rate_edition: RateEdition
    rates: RateBook
    rack: Rack
    order_spread: float | None = None

    @classmethod
    def of(cls, workshop: Workshop, on: date) -> Books:
        """Those of a day, as unsure as the clockings have shown them to be.

        Raises NotReady if there are no standard times or no rates.
        """
        standard, rates = current_edition(workshop, on), rates_in_force(workshop, on)
        learned = LearnedSpread.of(workshop, standard)
        return cls(
            standard_edition=standard,
            times=learned.restated(times_of(standard)),
            order_spread=learned.order,
            rate_edition=rates,
            rates=rate_book(rates, on),
            rack=rack_of(workshop),
        )

    def basis(
        self,
        commission: Commission,
        rows: Rows | None = None,
        own: Own | None = None,
        *,
        times_over: int = 1,
        slope: float = 1.0,
    ) -> Basis:
        """All that a commission is priced from, or that rows would be which are supposed.

        `times_over` is how often they make what is stored; raises NotReady as `breakdown` does.
        """
        broken_down = breakdown(commission, self.times, rows)
        own = own or Own.of(commission)
        kept = own.price
        made = estimate_input(broken_down, self.rates.currency)
        made = replace(made, extras=(*made.extras, *own.extras)) if own.extras else made
        if self.order_spread is not None:
            made = replace(made, order_spread=self.order_spread)
        over = kept.times_over * times_over
        return Basis(
            commission=learnt(made, over, slope if times_over > 1 else kept.learning_slope),
            rates=self.rates,
            rack=self.rack,
            standard_edition=self.standard_edition,
            rate_edition=self.rate_edition,
            glue_class=broken_down.glue_class,
            species=frozenset(
                part.species for assembly in broken_down.assemblies for part in assembly.parts
            ),
            roots=roots_of(broken_down),
            pricing=pricing_of(kept),
        )


def basis_for(commission: Commission, on: date) -> Basis:
    """Everything needed to price the commission as of a day; some eighteen queries.

    Raises NotReady if a standard time or an edition of the rates is missing, or a joint breaks
    its rules.
    """
    return Books.of(commission.workshop, on).basis(commission)


def priced(basis: Basis, pricing: Pricing | None = None) -> Estimate:
    """The estimate of a basis, at the price that is kept with the commission or at another.

    Raises NotReady when a rate, a board or a glue is missing.
    """
    return estimate(basis.commission, basis.rates, basis.rack, pricing or basis.pricing)


def priced_ways(basis: Basis, pricings: Sequence[Pricing]) -> tuple[Estimate, ...]:
    """The estimate of a basis at several prices, costed once; raises as above."""
    return estimates(basis.commission, basis.rates, basis.rack, pricings)


def estimate_for(commission: Commission, on: date) -> Estimate:
    """What the commission would cost and be offered for on a day; raises NotReady as above."""
    return priced(basis_for(commission, on))


def estimate_input(broken_down: Breakdown, currency: str) -> EstimateInput:
    """A breakdown as the estimate reads it: sizes and operations of one assembly, and how many."""
    assemblies = broken_down.assemblies
    return EstimateInput(
        commission=broken_down.mark,
        currency=currency,
        assemblies=tuple(_assembly(assembly) for assembly in assemblies),
        operations=tuple(line for assembly in assemblies for line in _operations(assembly)),
        glue=tuple(
            _glue(joint, assembly, broken_down.glue_class)
            for assembly in assemblies
            for joint in assembly.joints
            if joint.glue_area_mm2
        ),
        extras=tuple(
            _fixing(carried, joint, assembly)
            for assembly in assemblies
            for joint in assembly.joints
            for carried in joint.fixings
        ),
    )


def roots_of(broken_down: Breakdown) -> dict[str, str]:
    """The key of every assembly's top assembly, by the key of the assembly."""
    roots: dict[str, str] = {}
    for assembly in broken_down.assemblies:
        above = "" if assembly.parent is None else str(assembly.parent)
        roots[str(assembly.id)] = roots[above] if above else str(assembly.id)
    return roots


def joint_label(joint: JointLine) -> str:
    """A joint of an order in words: its mark, its type and the parts it joins."""
    return f"{joint.mark} {joint.label}, {joint.mark_a} to {joint.mark_b}"


def _assembly(assembly: AssemblyLine) -> Assembly:
    return Assembly(
        key=str(assembly.id),
        label=f"{assembly.place} {assembly.name}",
        quantity=assembly.total,
        parts=tuple(_part(part) for part in assembly.parts),
    )


def _part(part: PartLine) -> PartSize:
    return PartSize(
        key=str(part.id),
        label=f"{part.mark} {part.name}",
        species=part.species,
        length_mm=part.length_mm,
        width_mm=part.width_mm,
        thickness_mm=part.thickness_mm,
        quantity=part.quantity,
    )


def _operations(assembly: AssemblyLine) -> Iterator[OperationLine]:
    for joint in assembly.joints:
        for operation in joint.operations:
            key = f"{joint.id}-{operation.code}"
            yield _operation(key, operation, assembly, joint.count, joint_label(joint))
    for extra in assembly.extras:
        yield _operation(f"extra-{extra.id}", extra.timed, assembly, extra.count, "", extra.name)


def _operation(
    key: str,
    operation: TimedOperation,
    assembly: AssemblyLine,
    count: int,
    joint: str,
    label: str = "",
) -> OperationLine:
    """An operation; it needs a machine's rate only where it is done at a machine."""
    return OperationLine(
        key=key,
        label=label or operation.label,
        assembly=str(assembly.id),
        skill=operation.skill.value,
        joint=joint,
        station_kind=operation.station_kind.value,
        method=Method.MACHINE if operation.station_kind.is_machine else Method.HAND,
        count=count,
        setup_min=operation.setup_min,
        each_min=operation.each_min,
        spread=operation.spread,
    )


def _fixing(carried: Carried, joint: JointLine, assembly: AssemblyLine) -> ExtraLine:
    return ExtraLine(
        key=f"{joint.id}-{carried.fixing.code}",
        label=f"{carried.fixing.label}, {joint_label(joint)}",
        unit_price=carried.fixing.price_each,
        quantity=Decimal(carried.count * joint.count),
        assembly=str(assembly.id),
    )


def _glue(joint: JointLine, assembly: AssemblyLine, glue_class: DurabilityClass) -> GlueArea:
    return GlueArea(
        key=str(joint.id),
        label=joint_label(joint),
        assembly=str(assembly.id),
        area_mm2=joint.count * joint.glue_area_mm2,
        glue_class=glue_class,
    )
