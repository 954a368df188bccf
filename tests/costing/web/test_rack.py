"""The rack on the screen."""

import pytest
from django.urls import reverse

from costing.models import Board, Glue, TimberAllowance
from tests.builders import a_workshop

BOARD = {
    "species": "teak",
    "thickness_mm": "38",
    "grade": "",
    "price_per_m3": "9000",
    "waste_share_of_gross": "40",
    "source": "",
}


def test_boards_are_put_in(signed_in, workshop):
    signed_in().post(reverse("rack-add", args=["boards"]), BOARD)

    board = Board.objects.of(workshop).get(species="teak")
    assert (float(board.thickness_mm), float(board.waste_share_of_gross)) == (38, 0.4)


def test_adding_another_leads_back_to_the_form(signed_in):
    answer = signed_in().post(reverse("rack-add", args=["boards"]), {**BOARD, "another": "yes"})
    assert answer.url == reverse("rack-add", args=["boards"])


def test_the_same_boards_twice_are_refused(signed_in, workshop):
    browser = signed_in()
    browser.post(reverse("rack-add", args=["boards"]), BOARD)

    answer = browser.post(reverse("rack-add", args=["boards"]), BOARD)

    assert "already has boards of this species" in answer.content.decode()
    assert Board.objects.of(workshop).filter(species="teak").count() == 1


def test_a_glue_is_changed_and_taken_out(signed_in, workshop):
    glue = Glue.objects.of(workshop).first()
    browser = signed_in("estimator")
    form = {
        "name": "White glue",
        "kind": "PVAc",
        "durability_class": "D2",
        "open_min": "7",
        "clamp_min": "30",
        "spread_g_per_m2": "150",
        "price_per_kg": "6.20",
        "version": str(glue.version),
    }

    browser.post(reverse("rack-change", args=["glues", glue.pk]), form)

    glue.refresh_from_db()
    assert glue.name == "White glue"
    browser.post(reverse("rack-remove", args=["glues", glue.pk]))
    assert not Glue.objects.filter(pk=glue.pk).exists()


def test_a_change_over_somebody_elses_is_told(signed_in, workshop):
    board = Board.objects.of(workshop).first()
    stale = {**BOARD, "species": board.species, "thickness_mm": "27", "version": "0"}

    answer = signed_in().post(reverse("rack-change", args=["boards", board.pk]), stale)

    assert "Stored meanwhile" in answer.content.decode()


def test_waste_of_all_that_is_bought_is_refused(signed_in, workshop):
    answer = signed_in().post(
        reverse("rack-add", args=["allowances"]),
        {
            "species": "",
            "length_mm": "20",
            "width_mm": "5",
            "thickness_mm": "4",
            "waste_share_of_gross": "100",
        },
    )

    assert 'aria-invalid="true"' in answer.content.decode()
    assert not TimberAllowance.objects.of(workshop).exists()


@pytest.mark.parametrize("shelf", ["boards", "sheets", "glues", "allowances"])
def test_every_shelf_has_its_form(signed_in, shelf):
    assert signed_in().get(reverse("rack-add", args=[shelf])).status_code == 200


def test_a_shelf_that_is_none_is_not_found(signed_in):
    assert signed_in().get(reverse("rack-add", args=["ladders"])).status_code == 404


def test_a_foreman_looks_only(signed_in, workshop):
    browser = signed_in("foreman")
    assert browser.get(reverse("rack")).status_code == 200
    assert browser.post(reverse("rack-add", args=["boards"]), BOARD).status_code == 403


def test_an_empty_rack_says_what_to_do(signed_in):
    page = signed_in("owner", a_workshop()).get(reverse("rack")).content.decode()
    assert "The rack is empty" in page


def test_queries_do_not_grow(signed_in, workshop, django_assert_max_num_queries):
    browser = signed_in()
    with django_assert_max_num_queries(9):
        browser.get(reverse("rack"))
