"""The press: what it fetches, and that it tells neither the hour nor the machine."""

import os
import subprocess
import sys
from datetime import date

import pytest

from costing.documents.press import CLOCK, Enclosure, OwnLetters, printed, typefaces
from tests.costing.documents.reading import opened, words

PLAIN = '<html lang="en"><title>A page</title><body><h1>Oak</h1>{}</body></html>'
ALIEN = (
    "file:///etc/passwd",
    "file:///etc/hostname",
    "http://127.0.0.1:9/oak.png",
    "https://example.test/oak.css",
    "ftp://example.test/oak",
    "data:text/css,body{}",
    "letters:../secret-key",
    "letters:/etc/passwd",
    "../../shop/settings.py",
)


@pytest.mark.parametrize("url", ALIEN)
def test_only_packaged_typefaces_are_fetched(url):
    with pytest.raises(ValueError, match="packaged typefaces only"):
        OwnLetters().fetch(url)


def test_the_packaged_typefaces_are_there():
    assert len(typefaces()) == 3
    for url, letters in typefaces().items():
        assert OwnLetters().fetch(url).read() == letters
        assert letters[:4] == b"wOF2"


@pytest.mark.parametrize("url", ALIEN)
def test_a_page_that_asks_for_more_is_printed_without_it(url):
    asking = PLAIN.format(
        f'<img src="{url}" alt=""><style>@import url("{url}");</style>'
        f'<svg width="9" height="9"><image href="{url}" width="9" height="9"/></svg>'
    )
    paper = printed([asking])
    assert words(paper).split() == ["Oak"]
    assert not any("/Image" in str(thing) for thing in opened(paper).objects)


def test_the_same_pages_give_the_same_bytes():
    assert printed([PLAIN.format("ash")]) == printed([PLAIN.format("ash")])
    assert printed([PLAIN.format("ash")]) != printed([PLAIN.format("elm")])


def test_another_process_gives_the_same_bytes():
    """Another start, another seed of hashes, another hour by the variable."""
    script = (
        "import django, sys, hashlib; django.setup();"
        "from tests.costing.documents.samples import a_quotation;"
        "from costing.documents.quotation import quotation_pdf;"
        "sys.stdout.write(hashlib.sha256(quotation_pdf(a_quotation())).hexdigest())"
    )
    found = {
        subprocess.run(
            [sys.executable, "-c", script],
            env={**os.environ, "DJANGO_SETTINGS_MODULE": "shop.settings", "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(found) == 1
    assert len(found.pop()) == 64


def test_printing_leaves_the_clock_of_others_alone(monkeypatch):
    monkeypatch.setenv(CLOCK, "1234")
    printed([PLAIN.format("ash")])
    assert os.environ[CLOCK] == "1234"
    monkeypatch.delenv(CLOCK)
    printed([PLAIN.format("ash")])
    assert CLOCK not in os.environ


def test_several_papers_are_one_file_and_count_their_own_pages():
    block = '<p style="position: running(block)">Page <span class="page-n" data-of="of"></span></p>'
    two_pages = PLAIN.format(f'<p style="break-after: page">{block}one</p><p>two</p>')
    paper = printed([two_pages, PLAIN.format(f"{block}three")], title="Both")
    assert len(opened(paper).pages) == 3
    assert [words(paper, n).split()[-3:] for n in (1, 2, 3)] == [
        ["1", "of", "2"],
        ["2", "of", "2"],
        ["1", "of", "1"],
    ]
    assert str(opened(paper).docinfo["/Title"]) == "Both"


def test_a_file_travels_inside():
    enclosed = Enclosure(
        name="a.json", description="Figures", text='{"net": 1}', on=date(2026, 1, 5)
    )
    found = opened(printed([PLAIN.format("")], enclosures=[enclosed])).attachments
    assert found["a.json"].get_file().read_bytes() == b'{"net": 1}'
