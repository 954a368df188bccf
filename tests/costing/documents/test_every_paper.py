"""What holds of every paper, found by looking into the room."""

import importlib
import inspect
import logging
import pkgutil
import socket

import pytest

from costing import documents
from tests.costing.documents.reading import (
    OURS,
    alternatives,
    elements,
    fonts,
    opened,
    pages,
)
from tests.costing.documents.samples import SAMPLES, SHOP

pytestmark = pytest.mark.django_db
A4, A3 = (210, 297), (297, 420)


def papers() -> list:
    """Every function of the room that makes a PDF."""
    found = set()
    for module in pkgutil.iter_modules(documents.__path__):
        room = importlib.import_module(f"{documents.__name__}.{module.name}")
        for name, function in inspect.getmembers(room, inspect.isfunction):
            if name.endswith("_pdf") and function.__module__ == room.__name__:
                found.add(function)
    return sorted(found, key=lambda function: function.__name__)


@pytest.fixture(params=papers(), ids=lambda function: function.__name__)
def paper(request, caplog) -> bytes:
    """One paper of the kind; nothing was wrong when it was set."""
    with caplog.at_level(logging.WARNING, logger="weasyprint"):
        printed = SAMPLES[request.param]()
    assert not caplog.records, [record.getMessage() for record in caplog.records]
    return printed


def test_every_paper_has_a_sample():
    assert set(papers()) == set(SAMPLES)
    assert len(papers()) >= 5


def test_it_has_pages_of_a_standard_size_each_with_its_number(paper):
    found = opened(paper)
    assert len(found.pages) >= 1
    for page in found.pages:
        _, _, width, height = (round(float(side) * 25.4 / 72) for side in page.mediabox)
        assert tuple(sorted((width, height))) in (A4, A3)
    for text in pages(paper):
        assert "Page" in text
        assert " of " in text


def test_it_says_what_it_is_and_who_made_it(paper):
    with opened(paper).open_metadata() as said:
        assert len(said["dc:title"]) > 10
        assert said["dc:creator"] == [SHOP]
        assert said["xmp:CreatorTool"] == "Trenail"


def test_it_can_be_read_aloud(paper):
    root = opened(paper).Root
    assert root["/Lang"] == "en-GB"
    assert bool(root["/MarkInfo"]["/Marked"])
    assert elements(paper, "/Table")
    assert elements(paper, "/TH")
    assert elements(paper, "/H1")
    assert len(alternatives(paper)) == len(elements(paper, "/Figure"))


def test_its_typefaces_are_ours_and_inside_it(paper):
    assert fonts(paper)
    for name, is_inside in fonts(paper).items():
        assert is_inside, name
        assert name.partition("+")[2].startswith(OURS), name


def test_it_is_shut_off_from_the_network(monkeypatch):
    def refuse(*address):
        raise AssertionError(f"A paper called {address}")

    monkeypatch.setattr(socket, "getaddrinfo", refuse)
    monkeypatch.setattr(socket, "create_connection", refuse)
    for sample in SAMPLES.values():
        assert sample().startswith(b"%PDF")


def test_nothing_in_it_runs_or_leads_out(paper):
    text = b"".join(
        bytes(thing.unparse()) for thing in opened(paper).objects if hasattr(thing, "unparse")
    )
    for word in (b"/JavaScript", b"/Launch", b"/URI", b"/SubmitForm"):
        assert word not in text
