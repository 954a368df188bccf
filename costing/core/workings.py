"""Labour and machine lines: joint by joint, operation by operation, minutes at a rate."""

from decimal import Decimal
from functools import lru_cache

from costing.core.breakdown import EstimateInput, Method, OperationLine
from costing.core.learning import batch_factor
from costing.core.lines import Draft
from costing.core.money import HUNDRED, ZERO, rounded
from costing.core.rates import OverheadBasis, RateBook
from costing.core.tally import Tally
from orders.core.errors import NotReady

Tree = dict[str, dict[str, list[Draft]]]


def operation_drafts(
    commission: EstimateInput, rates: RateBook, tallies: dict[str, Tally]
) -> list[Draft]:
    """The labour line and the machine line; books every operation on its assembly.

    Raises NotReady, naming each rate that the book lacks.
    """
    _require_rates(commission, rates)
    quantities = {assembly.key: assembly.quantity for assembly in commission.assemblies}
    labour: Tree = {key: {} for key in quantities}
    machine: Tree = {key: {} for key in quantities}
    for operation in commission.operations:
        pieces = operation.count * quantities[operation.assembly]
        minutes, words = _minutes(operation, pieces)
        tail = f"{operation.assembly}/{operation.joint}/{operation.key}"
        hourly = rates.labour[operation.skill]
        draft = _draft(f"labour/{tail}", operation, minutes, words, hourly, rates)
        labour[operation.assembly].setdefault(operation.joint, []).append(draft)
        machine_hourly = rates.machine.get(operation.station_kind)
        cost = None
        if machine_hourly is not None:
            its = _draft(f"machine/{tail}", operation, minutes, words, machine_hourly, rates)
            machine[operation.assembly].setdefault(operation.joint, []).append(its)
            cost = its.exact
        tallies[operation.assembly].add_operation(
            operation,
            minutes,
            draft.exact,
            cost,
            _overhead(operation.skill, minutes, draft.exact, cost is not None, rates),
        )
    return [
        _tree("labour", "Labour", labour, commission),
        _tree("machine", "Machines", machine, commission),
    ]


def _require_rates(commission: EstimateInput, rates: RateBook) -> None:
    missing = {
        operation.skill: None
        for operation in commission.operations
        if operation.skill not in rates.labour
    } | {
        operation.station_kind: None
        for operation in commission.operations
        if operation.method is Method.MACHINE and operation.station_kind not in rates.machine
    }
    if missing:
        names = ", ".join(name or "a machine operation without a station" for name in missing)
        it = "it" if len(missing) == 1 else "them"
        raise NotReady(
            f"There is no hourly rate for {names} in rate book edition {rates.edition}; add {it}."
        )


def _minutes(operation: OperationLine, pieces: int) -> tuple[Decimal, str]:
    if not pieces:
        return ZERO, "none"
    factor = batch_factor(pieces, operation.learning_slope)
    total = round(operation.setup_min + operation.each_min * operation.learnt * factor, 6)
    minutes = Decimal(repr(total))
    words = f"{_short(total)} min"
    if pieces > 1 or operation.setup_min:
        setup = f"{_short(operation.setup_min)} min set-up + " if operation.setup_min else ""
        learnt = " with learning" if operation.learning_slope < 1 else ""
        again = f" × {operation.learnt:.3f} learnt" if operation.learnt < 1 else ""
        words += f" ({setup}{pieces} × {_short(operation.each_min)} min{again}{learnt})"
    return minutes, words


def _short(minutes: float) -> str:
    """Minutes to a hundredth, without zeros that say nothing."""
    return f"{minutes:.2f}".rstrip("0").rstrip(".")


def _draft(
    key: str,
    operation: OperationLine,
    minutes: Decimal,
    words: str,
    hourly: Decimal,
    rates: RateBook,
) -> Draft:
    make_up = f"{words} at {plain(hourly, rates.currency)} per h"
    return Draft(key, operation.label, make_up, minutes * hourly / 60)


def _overhead(
    skill: str, minutes: Decimal, labour: Decimal, runs: bool, rates: RateBook
) -> Decimal:
    overhead = rates.overhead
    if overhead.basis is OverheadBasis.DEPARTMENT:
        return minutes * overhead.per_hour(skill) / 60
    if overhead.basis is OverheadBasis.LABOUR_COST:
        return labour * overhead.rate
    if overhead.basis is OverheadBasis.MACHINE_HOUR and not runs:
        return ZERO
    return minutes * overhead.rate / 60


def _tree(key: str, label: str, tree: Tree, commission: EstimateInput) -> Draft:
    return Draft(
        key,
        label,
        children=[
            Draft(
                f"{key}/{assembly.key}",
                assembly.label,
                f"{assembly.quantity} off",
                children=_joints(f"{key}/{assembly.key}", tree[assembly.key]),
            )
            for assembly in commission.assemblies
            if tree[assembly.key]
        ],
    )


def _joints(key: str, joints: dict[str, list[Draft]]) -> list[Draft]:
    drafts: list[Draft] = []
    for joint, operations in joints.items():
        if joint:
            drafts.append(Draft(f"{key}/{joint}", joint, children=operations))
        else:
            drafts += operations
    return drafts


@lru_cache(maxsize=1024)
def plain(amount: Decimal, currency: str) -> str:
    """An amount in words of a make-up: in minor units, or finer if it is so."""
    printed = rounded(amount, currency)
    return f"{printed if printed == amount else amount.normalize():f}"


def percent(share: Decimal) -> str:
    """A share in words of a make-up: 0.125 is 12.5 %."""
    text = f"{(share * HUNDRED).quantize(Decimal('0.01')):f}"
    return f"{text.rstrip('0').rstrip('.')} %"
