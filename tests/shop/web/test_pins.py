"""The page on which the foreman moves an operation."""

from datetime import timedelta

from django.urls import reverse
from django.utils import timezone

from shop.models import Pin, Plan


def tomorrow():
    return f"{timezone.localtime() + timedelta(days=7):%Y-%m-%d}T23:00"


def test_a_wish_shows_what_would_come_of_it_before_it_is_kept(floor):
    page = floor.as_(floor.foreman).get(
        reverse("pin", args=[floor.first.pk]), {"hand": floor.other_hand.pk, "station": ""}
    )

    assert page.status_code == 200
    assert "with Tess" in page.content.decode()
    assert "Keep this pin" in page.content.decode()
    assert not Pin.objects.exists()


def test_a_pin_is_kept_and_taken_out_again(floor):
    client = floor.as_(floor.foreman)

    kept = client.post(
        reverse("keep-pin", args=[floor.first.pk]), {"hand": floor.other_hand.pk}, follow=True
    )

    assert "Take the pin out" in kept.content.decode()
    proposal = Plan.objects.get(state=Plan.State.PROPOSED)
    assert proposal.bookings.get(operation=floor.first).hand == floor.other_hand
    client.post(reverse("take-out-pin", args=[floor.first.pk]))
    assert not Pin.objects.exists()


def test_a_time_when_nobody_works_is_refused_beside_the_field_and_stays(floor):
    page = floor.as_(floor.foreman).get(
        reverse("pin", args=[floor.first.pk]), {"starts_at": tomorrow()}
    )

    text = page.content.decode()
    assert "pin it to a working time" in text
    assert f'value="{tomorrow()}"' in text
    assert "Keep this pin" not in text


def test_who_may_not_plan_may_not_pin(floor):
    for person in (floor.estimator, floor.worker):
        client = floor.as_(person)
        assert client.get(reverse("pin", args=[floor.first.pk])).status_code == 403
        assert client.post(reverse("keep-pin", args=[floor.first.pk])).status_code == 403


def test_the_rows_of_the_chart_lead_to_it(floor):
    rows = floor.as_(floor.foreman).get(reverse("wall-chart"), {"as": "rows"}).content.decode()
    assert reverse("pin", args=[floor.first.pk]) in rows


def test_the_page_costs_few_queries(floor, django_assert_max_num_queries):
    client = floor.as_(floor.foreman)
    with django_assert_max_num_queries(45):
        client.get(reverse("pin", args=[floor.first.pk]), {"hand": floor.other_hand.pk})
