"""Patterns on the screen."""

import pytest
from django.urls import reverse

from orders.core.pattern_book import all_patterns
from orders.models import OwnPattern


@pytest.fixture
def book(commission):
    return reverse("pattern-book", args=[commission.pk])


def place(commission, code="table"):
    return reverse("pattern-add", args=[commission.pk, code])


def typed(code, **more):
    own = {one.name: str(one.default) for one in all_patterns()[code].fields()}
    return {**own, "quantity": "1", **more}


def test_every_pattern_is_drawn_in_the_book(signed_in, book):
    page = signed_in().get(book).text

    for kind in all_patterns().values():
        assert kind.label in page
    assert page.count("<svg") >= len(all_patterns())


@pytest.mark.parametrize("code", sorted(all_patterns()))
def test_every_pattern_has_its_form_and_is_added(signed_in, commission, code):
    browser = signed_in()
    assert "<svg" in browser.get(place(commission, code)).text

    answer = browser.post(place(commission, code), typed(code))

    assert answer.status_code == 302
    assert commission.assemblies.filter(name=all_patterns()[code].label).exists() or (
        commission.assemblies.count() > 1
    )


def test_sizes_that_do_not_go_together_are_refused_beside_their_field(signed_in, commission):
    before = commission.assemblies.count()

    page = signed_in().post(place(commission), typed("table", leg_mm="150", width_mm="300")).text

    assert "is-wrong" in page
    assert 'value="150"' in page
    assert commission.assemblies.count() == before


def test_the_drawing_is_shown_without_adding(signed_in, commission):
    before = commission.assemblies.count()

    page = signed_in().post(place(commission), typed("table", show="1")).text

    assert "<svg" in page
    assert commission.assemblies.count() == before


def test_stairs_carry_their_caution(signed_in, commission):
    page = signed_in().get(place(commission, "stair-flight")).text
    assert "local" in page.lower()


def test_a_pattern_that_is_none_is_not_found(signed_in, commission):
    assert signed_in().get(place(commission, "spaceship")).status_code == 404


def test_a_frozen_order_takes_no_pattern(signed_in, commission):
    commission.stage = "in-work"
    commission.save()

    assert signed_in().post(place(commission), typed("table")).url == commission.get_absolute_url()


def test_an_assembly_is_kept_and_made_again(signed_in, commission):
    frame = commission.assemblies.first()
    part = frame.parts.first()
    browser = signed_in()
    keep = reverse("pattern-keep", args=[frame.pk])
    assert "What follows" in browser.get(keep).text

    browser.post(
        keep,
        {
            "name": "Our frame",
            "first-label": "height",
            "first-size": f"{part.mark}.length_mm",
        },
    )

    kept = OwnPattern.objects.get()
    again = reverse("own-pattern-add", args=[commission.pk, kept.pk])
    longer = float(part.length_mm) + 100
    answer = browser.post(again, {"height": str(longer), "quantity": "2"})
    made = commission.assemblies.get(pk=int(answer.url.rstrip("/").split("/")[-1]))
    assert float(made.parts.get(mark=part.mark).length_mm) == longer
    assert made.quantity == 2


def test_a_free_size_needs_its_label(signed_in, commission):
    frame = commission.assemblies.first()
    size = f"{frame.parts.first().mark}.length_mm"

    page = (
        signed_in()
        .post(reverse("pattern-keep", args=[frame.pk]), {"name": "x", "first-size": size})
        .text
    )

    assert "Say what this size is called" in page
    assert not OwnPattern.objects.exists()
