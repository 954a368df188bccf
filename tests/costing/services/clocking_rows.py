"""Clocked work as rows: done operations with what hands took for them."""

from datetime import datetime, timedelta

from django.utils import timezone

from costing.services.learning import KIND
from orders.core.stages import Stage
from orders.models import Operation
from orders.models.commission import StageMove
from shop.models import Clocking, Job
from shop.services import jobs
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


def learn_now(workshop):
    """Learn from all that is clocked, as a worker would; the job."""
    job = Job.objects.create(workshop=workshop, kind=KIND)
    jobs.run(job.pk)
    return Job.objects.get(pk=job.pk)


def slow_orders(workshop, hand, *, orders=8, each=3, ratio=1.5):
    """Orders whose mortises took so much longer than the standard, restated: minutes of 4 pieces.

    The chopping stands at the minutes that the breakdown gives it, so that ratios are true.
    """
    now = timezone.now()
    for number in range(orders):
        at = now - timedelta(days=40 - number)
        order = released_order(workshop, at)
        for place in range(each):
            minutes = 45 * ratio * (0.93, 1.0, 1.08)[place % 3]
            done(order, hand, minutes, at=at + timedelta(days=1))
