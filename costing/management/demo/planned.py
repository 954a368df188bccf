"""The plan of the demo, made one morning for all that was released by then, and adopted."""

from datetime import datetime, timedelta

from shop.core.plan.planner import plan as make_plan
from shop.core.plan.schedule import Budget
from shop.models import Job, Plan, User, Workshop
from shop.services import jobs
from shop.services.planning import KIND, store
from shop.services.problem import problem_for

BUDGET = Budget(evaluations=120, seconds=15.0)
ADOPTING = timedelta(minutes=9)


def plan_the_shop(workshop: Workshop, at: datetime, *, by: User) -> Plan:
    """The plan as it would have been made at an instant, in force since shortly after.

    The job is a row without a message: it is done here and not by a worker.
    """
    job = Job.objects.create(workshop=workshop, kind=KIND, made_by=by)
    held = jobs.claim(job.pk)
    if held is None:
        raise LookupError("A new job is free to take.")
    schedule = make_plan(problem_for(workshop, at), budget=BUDGET)
    plan = store(held, schedule, read_at=at)
    jobs.finish(held, Job.State.DONE, result={"plan": plan.pk}, progress=1.0)
    Plan.objects.filter(pk=plan.pk).update(made_at=at, adopted_at=at + ADOPTING)
    return Plan.objects.get(pk=plan.pk)
