"""The bench, by plain forms as without JavaScript."""

import re
from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from orders.models import Operation
from shop.models import Clocking
from shop.services.clocking import start
from tests.builders import (
    a_hand,
    a_joint,
    a_station,
    a_workshop,
    an_assembly,
    an_operation,
    an_order,
)

pytestmark = pytest.mark.django_db


def key_in(page) -> str:
    found = re.search(r'name="key" value="([0-9a-f-]+)"', page.content.decode())
    assert found
    return found[1]


def test_a_hand_starts_pauses_goes_on_and_finishes(floor):
    client = floor.as_(floor.worker)
    bench = client.get(reverse("bench"))
    assert "Fit the seat" in bench.content.decode()
    start = reverse("start-work", args=[floor.first.pk])
    client.post(start, {"key": key_in(bench)})
    bench = client.get(reverse("bench"))
    assert "Running since" in bench.content.decode()
    client.post(reverse("pause-work", args=[floor.first.pk]), {"key": key_in(bench), "pieces": "1"})
    floor.first.refresh_from_db()
    assert (floor.first.state, floor.first.pieces_done) == (Operation.State.PAUSED, 1)
    client.post(start, {"key": key_in(client.get(reverse("bench")))})
    client.post(
        reverse("finish-work", args=[floor.first.pk]),
        {"key": key_in(client.get(reverse("bench"))), "pieces": ""},
    )
    floor.first.refresh_from_db()
    assert (floor.first.state, floor.first.pieces_done) == (Operation.State.DONE, 4)
    assert list(Clocking.objects.order_by("pk").values_list("pieces", flat=True)) == [1, 3]
    assert "Glue the seat" in client.get(reverse("bench")).content.decode()


def test_a_double_press_of_start_is_one_clocking(floor):
    client = floor.as_(floor.worker)
    key = uuid4()
    for _ in range(2):
        client.post(reverse("start-work", args=[floor.first.pk]), {"key": key})
    assert Clocking.objects.count() == 1


def test_a_double_press_of_done_is_one_end_without_a_complaint(floor):
    client = floor.as_(floor.worker)
    client.post(reverse("start-work", args=[floor.first.pk]), {"key": uuid4()})
    key = Clocking.objects.get().key
    finish = reverse("finish-work", args=[floor.first.pk])
    client.post(finish, {"key": key})
    page = client.post(finish, {"key": key}, follow=True).content.decode()
    assert Clocking.objects.get().pieces == 4
    assert "no work running" not in page


def test_too_many_pieces_are_refused_in_a_sentence(floor):
    client = floor.as_(floor.worker)
    client.post(reverse("start-work", args=[floor.first.pk]), {"key": uuid4()})
    page = client.post(
        reverse("finish-work", args=[floor.first.pk]),
        {"key": Clocking.objects.get().key, "pieces": "9"},
        follow=True,
    )
    assert "4 of 4 pieces left" in page.content.decode()
    assert Clocking.objects.running().count() == 1


@pytest.mark.parametrize("pieces", ["-1", "one", "1.5", "9" * 30])
def test_a_count_that_is_no_count_is_refused(floor, pieces):
    client = floor.as_(floor.worker)
    client.post(reverse("start-work", args=[floor.first.pk]), {"key": uuid4()})
    page = client.post(
        reverse("pause-work", args=[floor.first.pk]),
        {"key": Clocking.objects.get().key, "pieces": pieces},
        follow=True,
    )
    assert "as a whole number" in page.content.decode()
    assert Clocking.objects.running().count() == 1


def test_what_must_wait_says_for_what_and_cannot_be_started(floor):
    client = floor.as_(floor.worker)
    page = client.get(reverse("clock", args=[floor.second.pk])).content.decode()
    assert "must be done first" in page
    page = client.post(
        reverse("start-work", args=[floor.second.pk]), {"key": uuid4()}, follow=True
    ).content.decode()
    assert "must wait" in page
    assert not Clocking.objects.exists()


def test_the_bench_shows_the_joint_that_is_made(floor):
    joint = a_joint(an_assembly(floor.order))
    operation = an_operation(floor.order, joint=joint, assembly=joint.assembly)
    page = floor.as_(floor.worker).get(reverse("clock", args=[operation.pk])).content.decode()
    assert 'class="drawing' in page
    assert joint.part_a.mark in page


def test_the_bench_has_no_money_and_no_menu(floor):
    page = floor.as_(floor.worker).get(reverse("bench")).content.decode()
    assert "€" not in page
    assert 'class="zones"' not in page
    assert "Sign out" in page


def test_a_foreman_picks_a_hand_and_clocks_for_them(floor):
    client = floor.as_(floor.foreman)
    assert "Whose bench" in client.get(reverse("bench")).content.decode()
    page = client.get(reverse("bench"), {"hand": floor.other_hand.pk})
    assert "bench of Tess" in page.content.decode()
    client.post(
        reverse("start-work", args=[floor.first.pk]),
        {"key": uuid4(), "hand": floor.other_hand.pk},
    )
    assert Clocking.objects.get().hand == floor.other_hand


def test_a_hand_does_not_clock_for_another(floor):
    client = floor.as_(floor.worker)
    assert client.get(reverse("bench"), {"hand": floor.other_hand.pk}).status_code == 403
    answer = client.post(
        reverse("start-work", args=[floor.first.pk]),
        {"key": uuid4(), "hand": floor.other_hand.pk},
    )
    assert answer.status_code == 403
    assert not Clocking.objects.exists()


def test_a_hand_of_another_workshop_is_not_found(floor):
    stranger = a_hand(a_workshop())
    client = floor.as_(floor.foreman)
    assert client.get(reverse("bench"), {"hand": stranger.pk}).status_code == 404


def test_an_operation_of_another_workshop_is_not_found(floor, elsewhere):
    assert elsewhere.get(reverse("clock", args=[floor.first.pk])).status_code == 404
    assert elsewhere.post(reverse("start-work", args=[floor.first.pk])).status_code == 404


def test_a_person_who_is_no_hand_learns_whom_to_ask(floor):
    floor.hand.membership = None
    floor.hand.save()
    page = floor.as_(floor.worker).get(reverse("bench")).content.decode()
    assert "You are not among the hands" in page


def test_many_operations_cost_no_more_queries(floor, django_assert_max_num_queries):
    order = an_order(floor.workshop)
    for _ in range(9):
        an_operation(order)
    floor.plan.delete()
    client = floor.as_(floor.worker)
    with django_assert_max_num_queries(24):
        client.get(reverse("bench"))


@pytest.fixture
def minding(floor):
    """The hand cleans up at the bench while the router beside it runs; also what is neither."""
    floor.workshop.allows_minding = True
    floor.workshop.save()
    for station in (floor.bench, a_station(floor.workshop, name="Router", kind="router")):
        station.area, station.may_be_left = "hall", station.kind == "router"
        station.save()
    run = an_operation(floor.order, name="Rout", station_kind="router")
    light = an_operation(floor.order, name="Clean up", code="clean-up")
    at = timezone.now() - timedelta(minutes=10)
    for operation in (run, light):
        start(operation, floor.hand, at=at)
    return run, light


def test_the_bench_shows_a_run_and_the_light_work_beside_it(floor, minding):
    run, _ = minding
    page = floor.as_(floor.worker).get(reverse("bench")).content.decode()
    assert "<h1>Clean up</h1>" in page
    assert "“Rout” runs on Router since" in page
    assert "and you mind it" in page
    other = floor.as_(floor.worker).get(reverse("clock", args=[run.pk])).content.decode()
    assert "<h1>Rout</h1>" in other
    assert "“Clean up” goes on since" in other


@pytest.mark.parametrize("which", [0, 1])
def test_each_of_the_two_is_stopped_from_the_bench(floor, minding, which):
    stopped, goes_on = minding[which], minding[1 - which]
    client = floor.as_(floor.worker)
    for act in ("pause-work", "finish-work"):
        key = Clocking.objects.running().get(operation=stopped).key
        page = client.get(reverse("bench")).content.decode()
        assert f'value="{key}"' in page
        assert f'action="{reverse(act, args=[stopped.pk])}"' in page
        client.post(reverse(act, args=[stopped.pk]), {"key": key})
        assert [row.operation for row in Clocking.objects.running()] == [goes_on]
        if act == "pause-work":
            start(Operation.objects.get(pk=stopped.pk), floor.hand, at=timezone.now())


def test_the_bench_says_what_a_start_would_pause(floor, minding):
    client = floor.as_(floor.worker)
    other = an_operation(floor.order, name="Sand", code="sand")
    page = client.get(reverse("clock", args=[other.pk])).content.decode()
    assert re.search("“Clean up” runs; starting this\\s+pauses it", page)
    assert re.search("you mind it; starting this\\s+leaves it running", page)
    whole = client.get(reverse("clock", args=[floor.first.pk])).content.decode()
    assert whole.count("starting this pauses it") == 2


def test_the_bench_says_what_may_begin_beside_a_run(floor, minding):
    run, _ = minding
    start(floor.first, floor.hand, at=timezone.now())
    start(run, floor.hand, at=timezone.now())
    floor.second.after.clear()
    floor.second.code = "clean-up"
    floor.second.save()
    page = floor.as_(floor.worker).get(reverse("bench")).content.decode()
    assert "may begin beside what runs" in page


def test_a_foreman_sees_both_at_the_choice_of_the_bench(floor, minding):
    page = floor.as_(floor.foreman).get(reverse("bench") + "?hand=0").content.decode()
    assert "Rout, since" in page
    assert "Clean up, since" in page


def test_two_at_once_cost_few_queries(floor, minding, django_assert_max_num_queries):
    client = floor.as_(floor.worker)
    for path in (reverse("bench"), reverse("clock", args=[floor.first.pk])):
        client.get(path)
        with django_assert_max_num_queries(29):
            client.get(path)
