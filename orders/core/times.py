"""Minutes of operations: set-up + count x (each + coefficient x driver) x species factor.

The coefficients are data, in editions: the starting edition is a file, later ones are proposed from
clockings and adopted by the owner.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cached_property, lru_cache

from orders.core.book import JointStudy
from orders.core.errors import RuleBroken
from orders.core.figures import rows
from orders.core.fixings import Carried, Jig
from orders.core.species import Species

MARKING = "mark-out"
DRIVING_SETUP_MIN = 2.0


class StationKind(StrEnum):
    """Where an operation is done."""

    BENCH = "bench"
    SAW = "saw"
    PLANER = "planer"
    MORTISER = "mortiser"
    TENONER = "tenoner"
    ROUTER = "router"
    DRILL = "drill"
    SANDER = "sander"
    GLUE_UP = "glue-up"
    FINISH_ROOM = "finish-room"
    VAN = "van"
    OUTWORK = "outwork"

    @property
    def is_machine(self) -> bool:
        """Whether it is a machine, which has an hourly rate of its own."""
        return self in MACHINES


MACHINES = frozenset(
    {
        StationKind.SAW,
        StationKind.PLANER,
        StationKind.MORTISER,
        StationKind.TENONER,
        StationKind.ROUTER,
        StationKind.DRILL,
        StationKind.SANDER,
    }
)


class Skill(StrEnum):
    """What a hand must know to do an operation."""

    MACHINING = "machining"
    JOINERY = "joinery"
    FINISHING = "finishing"


class Method(StrEnum):
    """How an operation is done; a standard time may serve both."""

    HAND = "hand"
    MACHINE = "machine"
    BOTH = "both"


@dataclass(frozen=True, slots=True, kw_only=True)
class OperationStep:
    """One step of a joint's work or of an order's, in working order, without its minutes."""

    code: str
    label: str
    station_kind: StationKind
    skill: Skill
    driver: str
    hold_to: str = ""
    caution: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StandardTime:
    """The standard minutes of one operation of one joint type; an empty joint is the order's own.

    `driver` is "each" for none, a quantity such as "sawn_m", or one member's, "b.sawn_m".
    `spread` is the standard deviation of the logarithm of the time. `cuts_wood` says whether the
    hardness of the wood matters.
    """

    joint: str
    operation: str
    label: str
    method: Method
    station_kind: StationKind
    skill: Skill
    order: int
    setup_min: float
    each_min: float
    driver: str = "each"
    per_driver: float = 0.0
    spread: float = 0.35
    cuts_wood: bool = True
    hold_to: str = ""
    caution: str = ""
    source: str = ""

    @property
    def step(self) -> OperationStep:
        """The operation without its minutes."""
        return OperationStep(
            code=self.operation,
            label=self.label,
            station_kind=self.station_kind,
            skill=self.skill,
            driver=self.driver,
            hold_to=self.hold_to,
            caution=self.caution,
        )


@dataclass(frozen=True, kw_only=True)
class StandardTimes:
    """One edition of the standard times."""

    edition: int
    rows: tuple[StandardTime, ...]

    @cached_property
    def _sorted(self) -> Mapping[tuple[str, Method], tuple[StandardTime, ...]]:
        """The rows by joint type and method, in working order."""
        found: dict[tuple[str, Method], list[StandardTime]] = {}
        for row in sorted(self.rows, key=lambda row: row.order):
            for method in (Method.HAND, Method.MACHINE):
                if row.method in (method, Method.BOTH):
                    found.setdefault((row.joint, method), []).append(row)
        return {key: tuple(some) for key, some in found.items()}

    def of(self, joint: str, method: Method) -> tuple[StandardTime, ...]:
        """The rows of a joint type (or of no joint, "") for a method, in working order."""
        return self._sorted.get((joint, method), ())

    def steps(self, joint: str, method: Method) -> tuple[OperationStep, ...]:
        """The operations of a joint type for a method, in working order."""
        return tuple(row.step for row in self.of(joint, method))


@dataclass(frozen=True, slots=True, kw_only=True)
class TimedOperation:
    """An operation with its minutes: `setup_min` once, `each_min` for each of `count`."""

    joint: str
    code: str
    label: str
    method: Method
    station_kind: StationKind
    skill: Skill
    count: float
    driver: str
    driver_value: float
    setup_min: float
    each_min: float
    spread: float
    hold_to: str = ""
    caution: str = ""

    @property
    def total_min(self) -> float:
        """Set-up and all pieces together."""
        return self.setup_min + self.count * self.each_min


@lru_cache(maxsize=1)
def starting_times() -> StandardTimes:
    """The first edition, as it comes with the program."""
    return StandardTimes(
        edition=1,
        rows=tuple(
            StandardTime(
                joint=row["joint"],
                operation=row["operation"],
                label=row["label"],
                method=Method(row["method"]),
                station_kind=StationKind(row["station_kind"]),
                skill=Skill(row["skill"]),
                order=int(row["order"]),
                setup_min=float(row["setup_min"]),
                each_min=float(row["each_min"]),
                driver=row["driver"],
                per_driver=float(row["per_driver"]),
                spread=float(row["spread"]),
                cuts_wood=row["cuts_wood"] == "yes",
                hold_to=row["hold_to"],
                caution=row["caution"],
                source=row["source"],
            )
            for row in rows("standard_times.csv")
        ),
    )


def minutes_for(
    study: JointStudy,
    count: float,
    method: Method,
    species: Species | None = None,
    times: StandardTimes | None = None,
    fixings: Sequence[Carried] = (),
    jig: Jig | None = None,
) -> tuple[TimedOperation, ...]:
    """The operations of `count` like joints with their minutes, in working order.

    Without a species the wood is of the reference hardness; without times the starting edition is
    used. An operation that this joint has no use for is left out. Fixings are driven last; a jig
    is set up once for the operations that it serves, and leaves a share of their time.
    """
    operations = [
        operation
        for row in (times or starting_times()).of(study.joint.code, method)
        if (operation := _timed(row, count, study.drivers.value(row.driver), method, species))
    ]
    if jig is not None:
        operations = [_with_jig(operation, jig) for operation in operations]
    factor = species.time_factor if species else 1.0
    driven = [_driven(study, each, count, method, factor) for each in fixings if count]
    return (*operations, *driven)


def _with_jig(operation: TimedOperation, jig: Jig) -> TimedOperation:
    if operation.code == MARKING:
        return replace(operation, each_min=operation.each_min * jig.marking_share)
    if operation.code not in jig.operations:
        return operation
    return replace(
        operation,
        setup_min=operation.setup_min + jig.setup_min,
        each_min=operation.each_min * jig.share,
        hold_to=jig.hold_to,
    )


def _driven(
    study: JointStudy, carried: Carried, count: float, method: Method, factor: float
) -> TimedOperation:
    """Driving one kind of fixing into every joint."""
    fixing = carried.fixing
    each = fixing.hand_min if method is Method.HAND else fixing.machine_min
    return TimedOperation(
        joint=study.joint.code,
        code=f"drive-{fixing.code}",
        label=f"Drive {carried.label}",
        method=method,
        station_kind=StationKind.BENCH,
        skill=Skill.JOINERY,
        count=count,
        driver="each",
        driver_value=float(carried.count),
        setup_min=DRIVING_SETUP_MIN,
        each_min=each * carried.count * factor,
        spread=0.35,
        hold_to="Bore first where the wood would split.",
        caution="sharp-edge",
    )


def minutes_for_extra(
    code: str,
    measures: Mapping[str, float],
    method: Method,
    species: Species | None = None,
    times: StandardTimes | None = None,
    count: float = 1,
) -> TimedOperation:
    """An operation that belongs to no joint, from measures such as parts, area_m2, assemblies.

    Raises RuleBroken on "operation" when the edition has no such operation for the method, and on
    the measure that is missing.
    """
    known = (times or starting_times()).of("", method)
    row = next((row for row in known if row.operation == code), None)
    if row is None:
        names = ", ".join(row.operation for row in known)
        raise RuleBroken("operation", f"There is no operation {code!r}; choose from {names}.")
    value = 0.0 if row.driver == "each" else measures.get(row.driver)
    if value is None:
        raise RuleBroken(row.driver, f"Say how much {row.driver} there is to {row.label.lower()}.")
    operation = _timed(row, count, value, method, species)
    return operation or _operation(row, 0, value, method, 0.0, 0.0)


def restated(each_min: float, then: StandardTime, now: StandardTime, factor: float = 1.0) -> float:
    """Unit minutes that one row gave, as a later row would have given them.

    `factor` is what species and jig made of them. Where the rows differ in more than scale, the
    driver is inferred from the minutes.
    """
    if math.isclose(now.per_driver * then.each_min, now.each_min * then.per_driver, abs_tol=1e-12):
        before = then.each_min + then.per_driver
        return each_min * (now.each_min + now.per_driver) / before if before else each_min
    if not then.per_driver:
        return each_min * now.each_min / then.each_min if now.each_min else each_min
    value = (each_min / factor - then.each_min) / then.per_driver
    return (now.each_min + now.per_driver * value) * factor


def extra_operations(
    method: Method, times: StandardTimes | None = None
) -> tuple[OperationStep, ...]:
    """The operations that belong to no joint, in working order."""
    return (times or starting_times()).steps("", method)


def _timed(
    row: StandardTime, count: float, value: float, method: Method, species: Species | None
) -> TimedOperation | None:
    """A row at work, or nothing where there is nothing to do."""
    each = row.each_min + row.per_driver * value
    if each == 0 or count == 0:
        return None
    factor = species.time_factor if species and row.cuts_wood else 1.0
    return _operation(row, count, value, method, row.setup_min, each * factor)


def _operation(
    row: StandardTime, count: float, value: float, method: Method, setup: float, each: float
) -> TimedOperation:
    return TimedOperation(
        joint=row.joint,
        code=row.operation,
        label=row.label,
        method=method,
        station_kind=row.station_kind,
        skill=row.skill,
        count=count,
        driver=row.driver,
        driver_value=value,
        setup_min=setup,
        each_min=each,
        spread=row.spread,
        hold_to=row.hold_to,
        caution=row.caution,
    )
