"""Order files on the screen."""

import json

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from orders.models import Commission
from orders.services.orderfile import example
from orders.web.orderfiles import place_of


def sent(text):
    """A file as a browser sends it."""
    return {"file": SimpleUploadedFile("order.json", text.encode())}


def test_a_right_file_opens_a_commission(signed_in, workshop):
    answer = signed_in().post(reverse("order-import"), sent(json.dumps(example())))
    opened = Commission.objects.of(workshop).get()
    assert answer.url == reverse("commission", args=[opened.pk])


def test_faults_are_listed_by_place_and_the_text_stays_on_the_page(signed_in, workshop):
    document = example()
    document["assemblies"][0]["parts"][0]["species"] = "moon-wood"
    page = signed_in().post(reverse("order-import"), sent(json.dumps(document)))
    assert "assembly 1, part 1, species" in page.text
    assert "moon-wood" in page.text.split("<textarea")[1]
    assert not Commission.objects.of(workshop).exists()


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("{", "This is not JSON"),
        ("[]", "An order file is one object"),
        ("[" * 100_000, "nested too deep"),
        ("  ", "Choose an order file, or paste its text."),
    ],
)
def test_what_is_no_order_file_gets_a_sentence(signed_in, workshop, text, words):
    page = signed_in().post(reverse("order-import"), sent(text))
    assert page.status_code == 200
    assert words in page.text


def test_what_was_written_out_can_be_read_in(signed_in, commission, workshop):
    browser = signed_in()
    written = browser.get(reverse("order-export", args=[commission.pk]))
    assert written["Content-Disposition"].endswith('hall-table.json"')
    browser.post(reverse("order-import"), sent(written.text))
    twin = Commission.objects.of(workshop).exclude(pk=commission.pk).get()
    assert twin.assemblies.get().joints.count() == 1


def test_a_place_is_said_in_words():
    assert place_of("assemblies/0/parts/2/length_mm") == "assembly 1, part 3, length_mm"
    assert place_of("") == "whole file"
