"""The page with two plans side by side."""

from datetime import timedelta

from django.urls import reverse
from django.utils import timezone

from shop.models import Plan

from .conftest import book


def proposed(floor):
    now = timezone.now()
    plan = Plan.objects.create(
        workshop=floor.workshop, number=8, made_at=now, read_at=now, method="search"
    )
    start = now + timedelta(days=2)
    for place, operation in enumerate((floor.first, floor.second)):
        at = start + timedelta(hours=place)
        book(plan, operation, at, at + timedelta(hours=1), floor.bench, floor.other_hand)
    return plan


def test_two_plans_stand_side_by_side_and_the_proposal_is_adopted_from_there(floor):
    plan = proposed(floor)
    page = floor.as_(floor.foreman).get(reverse("plans")).content.decode()

    assert "Plan 7 and plan 8" in page
    assert page.count('class="join"') == 2
    assert reverse("adopt-plan", args=[plan.pk]) in page
    assert reverse("keep-plan", args=[plan.pk]) in page
    assert "Adopt plan" not in floor.as_(floor.estimator).get(reverse("plans")).content.decode()


def test_the_drawing_is_had_by_hand_and_either_way_round(floor):
    proposed(floor)
    page = (
        floor.as_(floor.foreman)
        .get(reverse("plans"), {"by": "hand", "one": "8", "other": "7"})
        .content.decode()
    )
    assert "Plan 8 and plan 7" in page
    assert ">Tess</text>" in page


def test_one_plan_alone_says_what_to_do(floor):
    page = floor.as_(floor.foreman).get(reverse("plans"), {"one": "99"}).content.decode()
    assert "There are no two plans yet" in page


def test_a_proposal_is_kept_beside(floor):
    plan = proposed(floor)
    answer = floor.as_(floor.foreman).post(reverse("keep-plan", args=[plan.pk]), follow=True)
    assert "Plan 8 is kept" in answer.content.decode()
    assert Plan.objects.get(number=8).state == "kept"
