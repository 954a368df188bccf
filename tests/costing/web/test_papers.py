"""The addresses of the papers: who may print, what the file is called, what is not found."""

import pytest
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from orders.models import Joint
from shop.models import Hand, Plan
from tests.builders import a_commission, a_hand, a_member, a_shop_that_can_price, a_workshop
from tests.costing.documents.reading import words
from tests.costing.documents.samples import ON, a_bench, a_planned_shop, released

pytestmark = pytest.mark.django_db


def signed_in(workshop, role="foreman") -> Browser:
    browser = Browser()
    browser.force_login(a_member(workshop, role), "shop.services.access.RoleBackend")
    return browser


@pytest.fixture
def bench(db):
    return released(a_bench())


@pytest.fixture
def plan(db):
    return a_planned_shop()


def job_papers(commission) -> list[str]:
    frame = commission.assemblies.get(name="Seat frame")
    return [
        reverse("job-sheets", args=[commission.pk]),
        reverse("job-sheet", args=[frame.pk]),
        reverse("cutting-list", args=[commission.pk]),
    ]


def test_papers_of_a_job_have_telling_names_and_open_in_the_browser(bench):
    browser = signed_in(bench.workshop)
    names = ["0417-job-sheets.pdf", "0417-seat-frame-job-sheet.pdf", "0417-cutting-list.pdf"]
    for path, name in zip(job_papers(bench), names, strict=True):
        answer = browser.get(path)
        assert answer.status_code == 200
        assert answer["Content-Type"] == "application/pdf"
        assert answer["Content-Disposition"] == f'inline; filename="{name}"'
        assert answer.content.startswith(b"%PDF")


@pytest.mark.parametrize("role", ["owner", "estimator", "foreman", "hand"])
def test_every_role_may_print_the_papers_of_a_job(bench, role):
    browser = signed_in(bench.workshop, role)
    assert {browser.get(path).status_code for path in job_papers(bench)} == {200}


def test_papers_of_another_workshop_are_not_found(bench):
    stranger = signed_in(a_workshop(), "owner")
    assert {stranger.get(path).status_code for path in job_papers(bench)} == {404}


def test_papers_only_show_and_change_nothing(bench):
    browser = signed_in(bench.workshop)
    assert {browser.post(path).status_code for path in job_papers(bench)} == {405}


def test_a_joint_that_cannot_be_made_is_told_where_it_can_be_changed():
    commission = a_bench()
    Joint.objects.filter(mark="J1").update(dimensions={"tenon_length_mm": 900})
    for path in job_papers(commission):
        answer = signed_in(commission.workshop).get(path, follow=True)
        assert answer.redirect_chain[-1][0] == commission.get_absolute_url()
        assert "Seat frame, J1" in answer.content.decode()


def test_a_hand_is_told_at_the_bench():
    commission = a_bench()
    Joint.objects.filter(mark="J1").update(dimensions={"tenon_length_mm": 900})
    answer = signed_in(commission.workshop, "hand").get(job_papers(commission)[0])
    assert answer["Location"] == reverse("bench")


def test_a_commission_without_assemblies_has_no_job_sheets():
    empty = a_commission(a_shop_that_can_price())
    answer = signed_in(empty.workshop).get(reverse("job-sheets", args=[empty.pk]), follow=True)
    assert "There is no assembly to print yet; add one." in answer.content.decode()


def test_the_week_and_the_days_are_for_who_sees_the_schedule(plan):
    for name in ("wall-chart-pdf", "day-sheets-pdf"):
        for role, status in (("foreman", 200), ("owner", 200), ("estimator", 200), ("hand", 403)):
            browser = signed_in(plan.workshop, role)
            assert browser.get(reverse(name), {"on": "2026-01-05"}).status_code == status


def test_the_day_sheets_of_all_are_named_by_their_day(plan):
    answer = signed_in(plan.workshop).get(reverse("day-sheets-pdf"), {"on": "2026-01-05"})
    assert answer["Content-Disposition"] == 'inline; filename="day-sheets-2026-01-05.pdf"'
    said = words(answer.content)
    assert "Ines" in said
    assert "Tom" in said


def test_without_a_hand_there_is_no_day_sheet():
    answer = signed_in(a_workshop()).get(reverse("day-sheets-pdf"), follow=True)
    assert "There is no hand to print a day sheet for" in answer.content.decode()


def test_a_hand_prints_only_their_own_day(plan):
    ines, tom = Hand.objects.of(plan.workshop).order_by("name")
    member = a_member(plan.workshop, "hand")
    ines.membership = member.membership
    ines.save()
    browser = Browser()
    browser.force_login(member, "shop.services.access.RoleBackend")
    own = browser.get(reverse("day-sheet-pdf", args=[ines.pk]), {"on": "2026-01-05"})
    assert own["Content-Disposition"] == 'inline; filename="day-sheet-2026-01-05-ines.pdf"'
    assert browser.get(reverse("day-sheet-pdf", args=[tom.pk])).status_code == 403
    assert signed_in(plan.workshop).get(reverse("day-sheet-pdf", args=[tom.pk])).status_code == 200


def test_the_day_of_a_hand_of_another_workshop_is_not_found(plan):
    hand = a_hand(a_workshop())
    assert signed_in(plan.workshop).get(reverse("day-sheet-pdf", args=[hand.pk])).status_code == 404


def test_a_day_that_is_none_is_today(plan):
    answer = signed_in(plan.workshop).get(reverse("day-sheets-pdf"), {"on": "2026-13-40"})
    assert answer.status_code == 200


def test_the_wall_chart_is_named_by_its_week_and_plan(plan):
    answer = signed_in(plan.workshop).get(reverse("wall-chart-pdf"), {"on": "2026-01-07"})
    assert answer["Content-Disposition"] == 'inline; filename="wall-chart-2026-W02-plan-7.pdf"'


def test_another_plan_can_be_asked_for_by_its_number(plan):
    Plan.objects.create(
        workshop=plan.workshop,
        number=8,
        made_at=plan.made_at,
        read_at=plan.read_at,
        method="by hand",
    )
    browser = signed_in(plan.workshop)
    asked = {"on": f"{ON:%Y-%m-%d}", "plan": "7"}
    assert "plan-7" in browser.get(reverse("wall-chart-pdf"), asked)["Content-Disposition"]
    assert browser.get(reverse("wall-chart-pdf"), {"plan": "9"}).status_code == 404


def test_without_a_plan_there_is_no_wall_chart():
    answer = signed_in(a_workshop()).get(reverse("wall-chart-pdf"), follow=True)
    assert "There is no plan to print yet; plan first." in answer.content.decode()


def test_codes_lead_back_to_the_host_that_was_asked(bench, monkeypatch):
    seen = []

    def seeing(commission, on, clock_address, **more):
        seen.append(clock_address(17))
        return real(commission, on, clock_address, **more)

    from costing.web import papers

    real = papers.job_sheets
    monkeypatch.setattr(papers, "job_sheets", seeing)
    signed_in(bench.workshop).get(job_papers(bench)[1])
    assert seen == [f"http://testserver{reverse('clock', args=[17])}"]


def test_today_is_printed_when_no_day_is_named(plan):
    answer = signed_in(plan.workshop).get(reverse("day-sheets-pdf"))
    assert f"day-sheets-{timezone.localdate():%Y-%m-%d}.pdf" in answer["Content-Disposition"]


@pytest.mark.parametrize(("name", "count"), [("job-sheets", 11), ("cutting-list", 13)])
def test_queries_of_a_paper(bench, name, count, django_assert_num_queries):
    browser = signed_in(bench.workshop)
    path = reverse(name, args=[bench.pk])
    browser.get(path)
    with django_assert_num_queries(count):
        browser.get(path)


def test_the_pages_of_a_job_lead_to_its_papers(bench):
    browser = signed_in(bench.workshop)
    every, one, sawing = job_papers(bench)
    page = browser.get(bench.get_absolute_url()).content.decode()
    assert every in page
    assert sawing in page
    frame = bench.assemblies.get(name="Seat frame")
    assert one in browser.get(reverse("assembly", args=[frame.pk])).content.decode()


def test_the_pages_of_the_day_and_the_week_lead_to_theirs(plan):
    browser = signed_in(plan.workshop)
    hand = Hand.objects.of(plan.workshop).get(name="Ines")
    day = browser.get(reverse("hand-day", args=[hand.pk]), {"on": "2026-01-05"}).content.decode()
    assert f"{reverse('day-sheet-pdf', args=[hand.pk])}?on=2026-01-05" in day
    week = browser.get(reverse("wall-chart"), {"on": "2026-01-07"}).content.decode()
    assert f"{reverse('wall-chart-pdf')}?on=2026-01-05&amp;plan=7" in week
