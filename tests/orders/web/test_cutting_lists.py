"""A cutting list through its preview."""

import re
from html import unescape

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

GOOD = "part,species,thickness,width,length,quantity\nrail,White oak,24,60,600,2\n"
BAD = GOOD + "stile,Moon wood,24,-5,900,1\n"


@pytest.fixture
def address(commission):
    """The page that reads into the frame."""
    return reverse("cutting-list-import", args=[commission.assemblies.get().pk])


def sent(text, name="frame.csv"):
    """A file as a browser sends it."""
    return {"file": SimpleUploadedFile(name, text.encode(), content_type="text/csv")}


def packed_in(page):
    """The draft that the page carries."""
    return unescape(re.search(r'name="packed" value="([^"]*)"', page.text)[1])


def test_a_right_list_is_shown_first_and_stored_after(signed_in, commission, address):
    browser = signed_in()
    page = browser.post(address, sent(GOOD))
    assert "Nothing is stored until you say so." in page.text
    assert commission.assemblies.get().parts.count() == 2
    answer = browser.post(address, {"packed": packed_in(page), "store": "1"})
    assert answer.status_code == 302
    assert commission.assemblies.get().parts.count() == 3


def test_every_bad_cell_is_marked_and_says_what_to_change(signed_in, commission, address):
    page = signed_in().post(address, sent(BAD))
    for field in ("species", "width_mm"):
        assert re.search(
            rf'name="rows/1/{field}"[^>]*aria-invalid="true"'
            rf' aria-describedby="rows/1/{field}-fault"',
            page.text,
        )
        assert f'id="rows/1/{field}-fault"' in page.text
    assert "There is no species" in page.text
    assert 'name="store"' not in page.text


def test_a_list_with_a_fault_is_not_stored_whatever_is_pressed(signed_in, commission, address):
    browser = signed_in()
    page = browser.post(address, sent(BAD))
    browser.post(address, {"packed": packed_in(page), "store": "1"})
    assert commission.assemblies.get().parts.count() == 2


def test_cells_are_corrected_in_the_preview_itself(signed_in, commission, address):
    browser = signed_in()
    page = browser.post(address, sent(BAD))
    typed = {"rows/1/species": "White oak", "rows/1/width_mm": "70"}
    page = browser.post(address, {"packed": packed_in(page), "check": "1", **typed})
    assert "Every row can be read." in page.text
    browser.post(address, {"packed": packed_in(page), "store": "1"})
    assert commission.assemblies.get().parts.filter(name="stile", width_mm=70).exists()


def test_what_was_typed_is_kept_when_it_is_wrong_again(signed_in, commission, address):
    browser = signed_in()
    page = browser.post(address, sent(BAD))
    page = browser.post(address, {"packed": packed_in(page), "rows/1/width_mm": "seventy"})
    assert 'value="seventy"' in page.text


def test_a_row_may_be_left_out(signed_in, commission, address):
    browser = signed_in()
    page = browser.post(address, sent(BAD))
    page = browser.post(address, {"packed": packed_in(page), "leave/1": "on"})
    assert "Every row can be read." in page.text


def test_a_file_that_is_no_list_gets_a_sentence(signed_in, commission, address):
    page = signed_in().post(address, sent("just some words\n"))
    assert page.status_code == 200
    assert 'id="id_file_error"' in page.text


def test_a_spoilt_preview_asks_for_the_file_again(signed_in, commission, address):
    page = signed_in().post(address, {"packed": "{", "store": "1"})
    assert "Choose the file once more" in page.text


def test_a_written_list_can_be_read_back(signed_in, commission, address):
    browser = signed_in()
    data = browser.get(reverse("cutting-list-csv", args=[commission.pk])).content
    upload = SimpleUploadedFile("list.csv", data, content_type="text/csv")
    page = browser.post(address, {"file": upload})
    assert "Hall table" in page.text
    assert "rail" in page.text
