"""The joint book on the screen."""

import pytest
from django.urls import reverse
from django.utils.html import escape

from orders.core.book import joint_types


def test_the_book_draws_every_type(signed_in):
    page = signed_in().get(reverse("joint-book"))
    assert page.text.count('class="drawing iso"') == len(joint_types())
    for kind in joint_types().values():
        assert kind.label in page.text


@pytest.mark.parametrize("code", list(joint_types()))
def test_a_type_shows_its_views_rules_and_work(signed_in, code):
    page = signed_in().get(reverse("joint-type", args=[code]))
    for drawing in ("iso", "front", "top", "side"):
        assert f'class="drawing {drawing}"' in page.text
    for own in joint_types()[code].fields():
        assert escape(own.label) in page.text
    assert "By hand" in page.text


def test_other_sections_are_tried_by_an_address(signed_in):
    asked = {
        "a/width_mm": "90",
        "a/thickness_mm": "45",
        "a/length_mm": "900",
        "b/width_mm": "120",
        "b/thickness_mm": "45",
        "b/length_mm": "600",
    }
    page = signed_in().get(reverse("joint-type", args=["mortise-tenon"]), asked)
    assert page.context["form"].fields["tenon_length_mm"].widget.attrs["placeholder"] == (
        "60 by rule"
    )
    assert page.context["plate"].study.joint.a.width_mm == 90


def test_what_cannot_be_made_is_said_beside_its_field(signed_in):
    kind = joint_types()["mortise-tenon"]
    a, b = kind.example
    asked = {
        f"{key}/{size}": getattr(section, size)
        for key, section in (("a", a), ("b", b))
        for size in ("width_mm", "thickness_mm", "length_mm")
    }
    page = signed_in().get(
        reverse("joint-type", args=[kind.code]), {**asked, "tenon_length_mm": "500"}
    )
    assert page.context["form"].errors["tenon_length_mm"]
    assert "the drawing shows the usual sections instead" in page.text


@pytest.mark.parametrize("size", ["0", "-4", "abc", "1e9", "nan", ""])
def test_an_absurd_section_never_breaks_the_page(signed_in, size):
    page = signed_in().get(reverse("joint-type", args=["dowel"]), {"a/width_mm": size})
    assert page.status_code == 200
    assert page.context["form"].errors["a/width_mm"]


def test_an_unknown_type_is_not_found(signed_in):
    assert signed_in().get(reverse("joint-type", args=["welded"])).status_code == 404
