"""Adding, changing and removing work that belongs to no joint."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from difflib import get_close_matches
from typing import Any

from django.db import transaction

from orders.core.errors import RuleBroken
from orders.core.times import Method, OperationStep, StandardTimes, extra_operations, starting_times
from orders.models import Assembly, ExtraWork

from .holding import fresh, hold_open
from .reading import Reader
from .standards import current_times

FIELDS = ("operation", "name", "minutes", "count")
USUAL = ("cut-to-size", "plane-up", "mark-parts", "assemble", "clean-up", "sand", "finish")
"""What nearly every assembly needs; common practice, no source."""


@transaction.atomic
def add_extra(
    assembly: Assembly,
    *,
    operation: str,
    name: str = "",
    minutes: Decimal | float | None = None,
    count: int = 1,
) -> ExtraWork:
    """Add an operation that belongs to no joint; without minutes it takes the standard time.

    Raises NotNow if the breakdown is frozen, RuleBroken or RulesBroken for values.
    """
    hold_open(assembly.commission_id)
    assembly = fresh(assembly)
    reader = Reader()
    read = read_extra(
        reader,
        operations_of(current_times(assembly.commission.workshop)),
        operation=operation,
        name=name,
        minutes=minutes,
        count=count,
    )
    reader.settle()
    extra: ExtraWork = ExtraWork.objects.create(assembly=assembly, **read)
    return extra


@transaction.atomic
def change_extra(extra: ExtraWork, *, version: int | None = None, **fields: Any) -> ExtraWork:
    """Change the fields given, named as in `add_extra`."""
    if unknown := set(fields) - set(FIELDS):
        raise TypeError(f"An extra has no {', '.join(sorted(unknown))}.")
    commission = hold_open(extra.assembly.commission_id)
    extra = fresh(extra, version)
    reader = Reader()
    stands = {field: getattr(extra, field) for field in FIELDS}
    known = operations_of(current_times(commission.workshop))
    for field, value in read_extra(reader, known, **{**stands, **fields}).items():
        setattr(extra, field, value)
    reader.settle()
    extra.save_next()
    return extra


@transaction.atomic
def remove_extra(extra: ExtraWork, *, version: int | None = None) -> None:
    """Remove an operation that belongs to no joint."""
    hold_open(extra.assembly.commission_id)
    fresh(extra, version).delete()


def usual_extras(assembly: Assembly) -> tuple[OperationStep, ...]:
    """What an assembly of parts usually needs and has not; offered, never added by itself."""
    known = operations_of(current_times(assembly.commission.workshop))
    has = set(assembly.extras.values_list("operation", flat=True))
    return tuple(known[code] for code in USUAL if code in known and code not in has)


def operations_of(times: StandardTimes | None = None) -> Mapping[str, OperationStep]:
    """The operations that belong to no joint by code, in working order."""
    return {
        step.code: step
        for method in (Method.MACHINE, Method.HAND)
        for step in extra_operations(method, times or starting_times())
    }


def read_extra(reader: Reader, known: Mapping[str, OperationStep], **fields: Any) -> dict[str, Any]:
    """The fields of an extra as they will be stored; faults stay with the reader."""
    read: dict[str, Any] = {
        "operation": str(fields["operation"] or ""),
        "name": reader.text("name", fields["name"], "the name", most=120),
        "minutes": None,
        "count": reader.whole("count", fields["count"], "a count"),
    }
    with reader.keeping():
        _require_operation(read["operation"], known)
    if fields["minutes"] is not None:
        read["minutes"] = reader.number(
            "minutes",
            fields["minutes"],
            "the minutes",
            least=Decimal(0),
            most=Decimal(100_000),
            places=2,
        )
    return read


def _require_operation(code: str, known: Mapping[str, OperationStep]) -> None:
    if code not in known:
        near = get_close_matches(code, known, n=3, cutoff=0.4) or list(known)
        raise RuleBroken(
            "operation", f"There is no operation {code!r}; choose from {', '.join(near)}."
        )
