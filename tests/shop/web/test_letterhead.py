"""The page of the letterhead."""

from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from shop.services.letterhead import logo_of

pytestmark = pytest.mark.django_db
GOOD = {"accent": "#85490c", "language": "de", "country": "IE", "iban": ""}


def a_file(kind="PNG") -> SimpleUploadedFile:
    made = BytesIO()
    Image.new("RGB", (300, 120), "#85490c").save(made, kind)
    return SimpleUploadedFile("logo.png", made.getvalue(), "image/png")


def test_an_owner_gives_it_and_sees_it(floor):
    owner, shop = floor.as_(floor.owner), floor.workshop
    page = owner.post("/workshop/letterhead/", {**GOOD, "new_logo": a_file()}, follow=True)
    assert page.status_code == 200
    shop.refresh_from_db()
    assert (shop.accent, shop.language, shop.country) == ("#85490c", "de", "IE")
    assert b'src="/workshop/logo.png"' in page.content
    assert owner.get("/workshop/logo.png").content == logo_of(shop)


def test_the_logo_can_be_taken_away(floor):
    owner, shop = floor.as_(floor.owner), floor.workshop
    owner.post("/workshop/letterhead/", {**GOOD, "new_logo": a_file()})
    owner.post("/workshop/letterhead/", {**GOOD, "takes_logo_away": "on"})
    assert logo_of(shop) == b""
    assert owner.get("/workshop/logo.png").status_code == 404


def test_what_is_wrong_stands_beside_its_field_and_what_was_typed_stays(floor):
    owner, shop = floor.as_(floor.owner), floor.workshop
    page = owner.post("/workshop/letterhead/", {**GOOD, "accent": "#ffee88"})
    assert page.status_code == 200
    assert "too pale" in page.content.decode()
    assert 'value="#ffee88"' in page.content.decode()
    shop.refresh_from_db()
    assert shop.accent != "#ffee88"
