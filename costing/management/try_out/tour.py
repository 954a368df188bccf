"""The tour: every role signs in, the papers are printed, the shop is planned by the worker."""

import time
from collections.abc import Iterator

from django.urls import reverse

from costing.management.demo import people
from costing.management.try_out.paper import page_count
from costing.management.try_out.visitor import Surprise, Visitor
from costing.models import Quote
from orders.models import Assembly
from shop.core.roles import Role
from shop.models import Job, User, Workshop

PLAN_SECONDS = 120.0


def tour(address: str) -> Iterator[str]:
    """Walk through the workshop of the demo, saying what was done.

    Raises Surprise at the first thing that is not as it should be.
    """
    workshop = the_workshop()
    visitors = {}
    for role, email in people.sign_ins():
        visitors[role] = sign_in(address, email)
        yield f"The {role} signed in as {email}."
    yield quotation(visitors[Role.ESTIMATOR], workshop)
    yield job_sheet(visitors[Role.HAND], workshop)
    yield wall_chart(visitors[Role.FOREMAN])
    yield wall_chart_on_paper(visitors[Role.FOREMAN])
    yield planned_again(visitors[Role.FOREMAN], workshop)


def the_workshop() -> Workshop:
    """The demo's own workshop; raises Surprise if the demo is not loaded."""
    email = dict(people.sign_ins())[Role.OWNER]
    owner = User.objects.filter(email=email).first()
    if owner is None:
        raise Surprise("The demo is not loaded. Run “python -m shop demo” first.")
    return owner.memberships.get().workshop


def sign_in(address: str, email: str) -> Visitor:
    """Somebody who has signed in."""
    visitor = Visitor(address)
    page = reverse("sign-in")
    answer = visitor.post(page, page, username=email, password=people.PASSWORD)
    if answer.address.startswith(page):
        raise Surprise(f"{email} could not sign in.")
    return visitor


def quotation(visitor: Visitor, workshop: Workshop) -> str:
    """A quote as it was issued."""
    quote = Quote.objects.of(workshop).filter(state=Quote.State.ISSUED).latest("issued_at")
    paper = printed(visitor, reverse("quote-pdf", args=[quote.pk]))
    if paper != bytes(quote.pdf):
        raise Surprise(f"Quotation {quote.mark} is not the paper that was issued.")
    return f"Quotation {quote.mark}: {pages(paper)}, as it was issued."


def job_sheet(visitor: Visitor, workshop: Workshop) -> str:
    """The job sheet of an assembly at the bench."""
    assembly = Assembly.objects.of(workshop).filter(operations__isnull=False).latest("pk")
    paper = printed(visitor, reverse("job-sheet", args=[assembly.pk]))
    return f"Job sheet of {assembly.commission}, {assembly}: {pages(paper)}."


def wall_chart(visitor: Visitor) -> str:
    """The wall chart with its bars."""
    bars = visitor.get(reverse("wall-chart")).text.count('<path class="bar')
    if bars < 10:
        raise Surprise(f"The wall chart has {bars} bars; the demo plans more than that.")
    return f"The wall chart shows {bars} bars."


def wall_chart_on_paper(visitor: Visitor) -> str:
    """The wall chart as PDF."""
    return f"Wall chart on paper: {pages(printed(visitor, reverse('wall-chart-pdf')))}."


def planned_again(visitor: Visitor, workshop: Workshop) -> str:
    """A plan that was asked for on the screen and made by the worker."""
    visitor.post(reverse("plan-again"), reverse("wall-chart"))
    job = Job.objects.of(workshop).latest("made_at")
    line = reverse("job-line", args=[job.pk])
    began = time.monotonic()
    while "#done" not in (text := visitor.get(line).text):
        if "#failed" in text or "#stopped" in text:
            job.refresh_from_db()
            raise Surprise(f"The plan was not made. {job.problem}")
        if time.monotonic() - began > PLAN_SECONDS:
            raise Surprise(f"The worker made no plan in {PLAN_SECONDS:.0f} seconds.")
        time.sleep(0.5)
    return f"The worker made a plan in {time.monotonic() - began:.1f} seconds."


def printed(visitor: Visitor, path: str) -> bytes:
    """A paper; raises Surprise if it is none, or empty."""
    answer = visitor.get(path)
    if answer.kind != "application/pdf" or page_count(answer.body) == 0:
        raise Surprise(f"{path} is no paper: {answer.kind}, {len(answer.body)} bytes.")
    return answer.body


def pages(paper: bytes) -> str:
    """How many pages, in words."""
    count = page_count(paper)
    return "1 page" if count == 1 else f"{count} pages"
