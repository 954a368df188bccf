"""Opening commissions, changing them, and moving them from stage to stage."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django.db import transaction
from django.db.models import Max
from django.utils import timezone

from orders.core.errors import NotNow, RuleBroken
from orders.core.exposure import DurabilityClass, Exposure, taken_class
from orders.core.stages import Stage
from orders.models import Client, Commission, StageMove

from .copying import copy_assemblies
from .holding import hold
from .reading import Reader
from .telling import tell_planner

if TYPE_CHECKING:
    from shop.models import User, Workshop

FIELDS = (
    "title",
    "client",
    "exposure",
    "glue_class",
    "glue_reason",
    "due_on",
    "timber_on",
    "weight",
    "note",
)
FROZEN = frozenset({"exposure", "glue_class", "glue_reason"})
"""What follows the breakdown: it may not change once the papers went to the bench."""


@transaction.atomic
def open_commission(
    workshop: Workshop,
    *,
    by: User | None,
    title: str,
    client: Client,
    exposure: str = Exposure.DRY_INTERIOR.value,
    due_on: date | None = None,
    timber_on: date | None = None,
    glue_class: str = "",
    glue_reason: str = "",
    weight: Decimal | float = 1,
    note: str = "",
) -> Commission:
    """Open a commission as an enquiry, with the workshop's next number.

    Raises RuleBroken or RulesBroken, naming the fields.
    """
    commission = Commission(workshop=workshop, stage=Stage.ENQUIRY.value)
    reader = Reader()
    fields = read_commission(
        reader,
        workshop,
        title=title,
        client=client,
        exposure=exposure,
        due_on=due_on,
        timber_on=timber_on,
        glue_class=glue_class,
        glue_reason=glue_reason,
        weight=weight,
        note=note,
    )
    reader.settle()
    for field, value in fields.items():
        setattr(commission, field, value)
    commission.number = next_number(workshop)
    commission.save()
    return commission


@transaction.atomic
def change_commission(
    commission: Commission, *, version: int | None = None, **fields: Any
) -> Commission:
    """Change the fields given, named as in `open_commission`.

    Raises Stale if it is no longer at `version`, NotNow for its glue once it is frozen, RuleBroken
    or RulesBroken for values.
    """
    if unknown := set(fields) - set(FIELDS):
        raise TypeError(f"A commission has no {', '.join(sorted(unknown))}.")
    commission = hold(commission.pk)
    commission.require_version(version)
    reader = Reader()
    stands = {field: getattr(commission, field) for field in FIELDS}
    read = read_commission(reader, commission.workshop, **{**stands, **fields})
    reader.settle()
    if any(read[field] != stands[field] for field in FROZEN):
        commission.require_open()
    for field, value in read.items():
        setattr(commission, field, value)
    commission.save_next()
    tell_planner(commission.workshop_id)
    return commission


@transaction.atomic
def move(commission: Commission, to: Stage, *, by: User | None, note: str = "") -> Commission:
    """Move a commission to another stage and write down who did.

    Raises NotNow if there is no such move from where it stands.
    """
    commission = hold(commission.pk)
    commission.require_move(to)
    if to is Stage.IN_WORK and not commission.operations.exists():
        raise NotNow("Release the commission to the bench; that puts it in work.")
    write_move(commission, to, by=by, note=note)
    return commission


def write_move(commission: Commission, to: Stage, *, by: User | None, note: str = "") -> None:
    """Write a move that was checked, and its line in the history of stages."""
    reader = Reader()
    StageMove.objects.create(
        commission=commission,
        from_stage=commission.stage,
        to_stage=to.value,
        at=timezone.now(),
        by=by,
        note=reader.text("note", note, "the note", most=200),
    )
    reader.settle()
    commission.stage = to.value
    commission.save_next()
    tell_planner(commission.workshop_id)


@transaction.atomic
def duplicate_commission(commission: Commission, *, by: User | None) -> Commission:
    """A new enquiry with the same client, breakdown and glue; its due date is left open."""
    commission = hold(commission.pk)
    twin = Commission.objects.create(
        workshop=commission.workshop,
        number=next_number(commission.workshop),
        title=commission.title,
        client=commission.client,
        exposure=commission.exposure,
        glue_class=commission.glue_class,
        glue_reason=commission.glue_reason,
        weight=commission.weight,
        note=commission.note,
    )
    copy_assemblies(commission.assemblies.all(), twin)
    return twin


def next_number(workshop: Workshop) -> int:
    """The next free number of a commission; locks the workshop until the transaction ends."""
    type(workshop).objects.select_for_update().get(pk=workshop.pk)
    highest = Commission.objects.of(workshop).aggregate(highest=Max("number"))["highest"]
    return int(highest or 0) + 1


def read_commission(reader: Reader, workshop: Workshop, **fields: Any) -> dict[str, Any]:
    """The fields of a commission as they will be stored; faults stay with the reader."""
    read: dict[str, Any] = {
        "title": reader.text("title", fields["title"], "a title", most=120, needed=True),
        "exposure": reader.choice("exposure", fields["exposure"], Exposure, "the exposure").value,
        "glue_class": _glue_class(reader, fields["glue_class"]),
        "glue_reason": reader.text("glue_reason", fields["glue_reason"], "the reason", most=200),
        "due_on": _day(reader, "due_on", fields["due_on"], "it is due"),
        "timber_on": _day(reader, "timber_on", fields.get("timber_on"), "its timber arrives"),
        "weight": reader.number(
            "weight",
            fields["weight"],
            "the importance",
            least=Decimal("0.1"),
            most=Decimal(100),
            places=1,
        ),
        "note": reader.text("note", fields["note"], "the note", most=10_000, lines=True),
    }
    with reader.keeping():
        taken_class(read["exposure"], read["glue_class"], read["glue_reason"])
    if "client" in fields:
        read["client"] = fields["client"]
        with reader.keeping():
            _require_client(workshop, fields["client"])
    return read


def _glue_class(reader: Reader, value: str) -> str:
    return (
        reader.choice("glue_class", value, DurabilityClass, "the glue class").value if value else ""
    )


def _day(reader: Reader, field: str, value: date | None, when: str) -> date | None:
    if value is None or (isinstance(value, date) and not isinstance(value, datetime)):
        return value
    reader.refuse(field, f"Give the day {when} as a date, as 2026-03-31.")
    return None


def _require_client(workshop: Workshop, client: Client | None) -> None:
    if client is None or client.workshop_id != workshop.pk:
        raise RuleBroken("client", "Choose one of the workshop's clients.")
