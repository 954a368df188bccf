"""A job on the screen: how far it is, its end, a stop."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from orders.core.errors import WorkshopError
from orders.web.access import SIGNED_IN, WorkshopRequest, needs
from shop.models import Job
from shop.services import jobs

NAMES = {
    "plan": "Planning",
    "scenarios": "Planning scenarios",
    "learn": "Learning from the clockings",
}
BACK = {"plan": "wall-chart", "scenarios": "scenarios", "learn": "labour"}
STOPS = {
    "plan": "shop.make_schedule",
    "scenarios": "shop.make_schedule",
    "learn": "costing.judge_labour",
}


def job_of(request: WorkshopRequest, pk: UUID) -> Job:
    """The job, if this workshop has it."""
    found: Job = get_object_or_404(Job.objects.of(request.workshop), pk=pk)
    return found


def drawn(request: WorkshopRequest, job: Job) -> dict[str, object]:
    """What the progress line needs."""
    return {
        "job": job,
        "name": NAMES.get(job.kind, job.kind.replace("-", " ").capitalize()),
        "percent": round(100 * job.progress),
        "reached": round(1000 * job.progress, 1),
        "back": reverse(BACK.get(job.kind, "home")),
        "may_stop": may_stop(request, job),
    }


def may_stop(request: WorkshopRequest, job: Job) -> bool:
    """Who asked for it may stop it, and so may those who could have asked."""
    asked = job.made_by_id == request.user.pk
    return asked or (job.kind in STOPS and request.user.has_perm(STOPS[job.kind]))


@never_cache
@require_safe
@needs(SIGNED_IN)
def job_page(request: WorkshopRequest, pk: UUID) -> HttpResponse:
    """One job."""
    return render(request, "shop/job.html", drawn(request, job_of(request, pk)))


@never_cache
@require_safe
@needs(SIGNED_IN)
def job_line(request: WorkshopRequest, pk: UUID) -> HttpResponse:
    """Only the progress line, for the script that keeps it fresh."""
    job = job_of(request, pk)
    response = render(request, "shop/job_line.html", drawn(request, job))
    response["Trenail-Job"] = "finished" if job.is_finished else "unfinished"
    return response


@require_POST
@needs(SIGNED_IN)
def stop_job(request: WorkshopRequest, pk: UUID) -> HttpResponse:
    """Ask the job to stop."""
    job = job_of(request, pk)
    if may_stop(request, job):
        try:
            jobs.stop(job)
        except WorkshopError as error:
            messages.error(request, error.message)
        else:
            messages.info(request, "Asked it to stop; it ends at its next step.")
    else:
        messages.error(request, "Who asked for this work may stop it, and the foreman; not you.")
    back = request.POST.get("next", "")
    if url_has_allowed_host_and_scheme(back, allowed_hosts={request.get_host()}):
        return redirect(back)
    return redirect("job", pk=job.pk)
