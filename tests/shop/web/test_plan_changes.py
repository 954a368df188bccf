"""The page of what was changed in the plan, and its one button."""

from django.urls import reverse
from django.utils import timezone

from shop.models import Hand, Pin, Plan
from shop.services import moving
from shop.services.pins import Wish


def pinned(floor):
    tess = Hand.objects.get(name="Tess")
    moving.move(floor.first, Wish(hand=tess), by=floor.foreman, now=timezone.now())


def test_the_chart_says_the_last_change_and_takes_it_back(floor):
    pinned(floor)
    client = floor.as_(floor.foreman)
    said = f"“Fit the seat” of {floor.order.mark} was pinned with Tess"
    assert said in client.get(reverse("wall-chart")).content.decode()
    assert (
        "Take it back" not in floor.as_(floor.estimator).get(reverse("wall-chart")).content.decode()
    )
    change = client.get(reverse("plan-changes")).context["last"]

    answer = client.post(
        reverse("undo-change", args=[change.pk]), {"from": "chart"}, follow=True
    ).content.decode()

    assert f"Taken back: {said}." in answer
    assert not Plan.objects.filter(state="proposed").exists()


def test_what_was_taken_back_stays_in_the_list(floor):
    pinned(floor)
    client = floor.as_(floor.foreman)
    change = client.get(reverse("plan-changes")).context["last"]
    client.post(reverse("undo-change", args=[change.pk]))

    page = client.post(reverse("undo-change", args=[change.pk]), follow=True).content.decode()

    assert "This is not the last change any more" in page
    assert f"by {floor.foreman}" in page
    assert floor.as_(floor.worker).get(reverse("plan-changes")).status_code == 403


def test_the_chart_makes_again_what_was_taken_back(floor):
    pinned(floor)
    client = floor.as_(floor.foreman)
    change = client.get(reverse("plan-changes")).context["last"]
    client.post(reverse("undo-change", args=[change.pk]))
    assert "Make it again" in client.get(reverse("plan-changes")).content.decode()
    assert "Make it again" in client.get(reverse("wall-chart")).content.decode()

    answer = client.post(
        reverse("redo-change", args=[change.pk]), {"from": "chart"}, follow=True
    ).content.decode()
    again = client.post(reverse("redo-change", args=[change.pk]), follow=True).content.decode()

    assert f"Made again: {change.said}." in answer
    assert Pin.objects.get().hand.name == "Tess"
    assert "This cannot be made again" in again
