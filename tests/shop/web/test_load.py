"""The page of the load by week."""

from django.urls import reverse

from shop.models import Plan


def test_every_station_and_hand_stands_in_it(floor, django_assert_max_num_queries):
    client = floor.as_(floor.estimator)
    with django_assert_max_num_queries(30):
        page = client.get(reverse("load")).content.decode()
    for name in ("Bench 1", "Saw", "Rowan", "Tess"):
        assert name in page


def test_without_a_plan_it_says_what_to_do(floor):
    Plan.objects.all().delete()
    assert "There is no plan yet" in floor.as_(floor.foreman).get(reverse("load")).content.decode()
