"""The letterhead."""

from io import BytesIO

import pytest
from PIL import Image

from orders.core.errors import RuleBroken
from shop.models import Logo
from shop.services.letterhead import (
    LARGEST_FILE,
    PRINTED_PX,
    change_letterhead,
    logo_of,
    set_logo,
    take_logo_away,
)
from tests.builders import a_workshop

pytestmark = pytest.mark.django_db


def a_picture(size=(400, 200), kind="PNG", mode="RGB") -> bytes:
    made = BytesIO()
    Image.new(mode, size, 0).save(made, kind)
    return made.getvalue()


def test_a_logo_becomes_a_png_that_fits():
    workshop = a_workshop()
    set_logo(workshop, a_picture((3000, 3000), "JPEG"))
    with Image.open(BytesIO(logo_of(workshop))) as kept:
        assert kept.format == "PNG"
        assert kept.size == (PRINTED_PX[1], PRINTED_PX[1])


def test_a_second_logo_takes_the_place_of_the_first_and_can_be_taken_away():
    workshop = a_workshop()
    set_logo(workshop, a_picture())
    set_logo(workshop, a_picture((100, 50)))
    assert Logo.objects.of(workshop).count() == 1
    take_logo_away(workshop)
    assert logo_of(workshop) == b""


@pytest.mark.parametrize(
    "picture",
    [b"", b"<svg/>", b"\x89PNG\r\n\x1a\n", a_picture()[:60], b"0" * (LARGEST_FILE + 1)],
)
def test_what_is_no_picture_or_too_large_is_refused(picture):
    workshop = a_workshop()
    with pytest.raises(RuleBroken) as found:
        set_logo(workshop, picture)
    assert found.value.field == "logo"
    assert logo_of(workshop) == b""


def test_an_account_is_kept_without_its_spaces():
    # IE29 AIBK 9311 5212 3456 78: the example of the registry of account numbers (ISO 13616).
    kept = change_letterhead(a_workshop(), iban="IE29 AIBK 9311 5212 3456 78", country="ie")
    assert kept.iban == "IE29AIBK93115212345678"
    assert kept.country == "IE"


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("iban", "IE29 AIBK 9311 5212 3456 79"),
        ("country", "QQ"),
        ("language", "xx"),
        ("accent", "red"),
        ("accent", "#ffee88"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_changes(field, value):
    workshop = a_workshop()
    with pytest.raises(RuleBroken) as found:
        change_letterhead(workshop, **{field: value})
    assert found.value.field == field
    stored = getattr(workshop, field)
    workshop.refresh_from_db()
    assert getattr(workshop, field) == stored
