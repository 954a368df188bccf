"""Clocked work as rows: done operations with what hands took for them."""

from datetime import datetime, timedelta

from django.utils import timezone

from orders.core.stages import Stage
from orders.models import Operation
from orders.models.commission import StageMove
from shop.models import Clocking
from tests.builders import a_joint, an_assembly, an_operation, an_order


def released_order(workshop, at: datetime, **more):
    """An order in work, released at an instant."""
    order = an_order(workshop, **more)
    StageMove.objects.create(commission=order, from_stage="accepted", to_stage=Stage.IN_WORK, at=at)
    return order


def done(order, hand, minutes, *, at=None, pieces=4, joint=None, **more):
    """A done operation that one hand clocked in one go."""
    at = at or timezone.now() - timedelta(days=1)
    joint = joint or order_joint(order)
    defaults = {
        "joint": joint,
        "code": "chop-mortise",
        "name": "Chop the mortise",
        "method": "hand",
    }
    operation = an_operation(
        order,
        assembly=joint.assembly,
        **{**defaults, **more},
        pieces=pieces,
        pieces_done=pieces,
        state=Operation.State.DONE,
        done_at=at,
    )
    clock(operation, hand, minutes, pieces=pieces, at=at)
    return operation


def clock(operation, hand, minutes, *, pieces, at):
    """A clocking that ended at an instant."""
    return Clocking.objects.create(
        operation=operation,
        hand=hand,
        started_at=at - timedelta(minutes=minutes),
        ended_at=at,
        pieces=pieces,
    )


def order_joint(order):
    """The order's one mortise and tenon."""
    assembly = order.assemblies.first()
    return assembly.joints.first() if assembly else a_joint(an_assembly(order))
