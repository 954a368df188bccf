"""Trying out: the demo visited over HTTP, and what is said when something is wrong."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

from costing.documents.quotation import quotation_pdf
from costing.management.demo.telling import tell
from costing.management.try_out import served
from costing.management.try_out.paper import page_count
from tests.costing.documents.reading import opened
from tests.costing.documents.samples import a_quotation
from tests.shop.worker import database_url


@pytest.fixture
def installation(transactional_db, tmp_path, monkeypatch):
    """The environment in which a server of its own finds the database of the test."""
    for name, value in {
        "DATABASE_URL": database_url(),
        "TRENAIL_DATA": str(tmp_path),
        "TRENAIL_BROKER": str(tmp_path / "broker"),
        "TRENAIL_DEBUG": "yes",
        "TRENAIL_HTTPS": "no",
        "TRENAIL_PLANNING_SECONDS": "2",
        "TRENAIL_COMPILED_SEARCH": "no",
    }.items():
        monkeypatch.setenv(name, value)


@pytest.mark.slow
def test_every_role_gets_in_and_every_paper_out(installation, settings):
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.PBKDF2PasswordHasher"]
    tell(timezone.now(), with_earlier=False)
    said = StringIO()
    call_command("try_out", port=served.a_free_port(), stdout=said)
    words = said.getvalue()
    for part in ("owner", "estimator", "foreman", "hand", "Quotation", "Job sheet", "bars"):
        assert part in words
    assert "The worker made a plan" in words


@pytest.mark.slow
def test_without_the_demo_it_says_what_to_do(installation):
    with pytest.raises(CommandError, match="python -m shop demo"):
        call_command("try_out", port=served.a_free_port(), stdout=StringIO())


@pytest.mark.slow
def test_a_server_that_cannot_start_is_heard(installation, monkeypatch):
    monkeypatch.setenv("TRENAIL_PLANNING_SECONDS", "soon")
    with pytest.raises(CommandError, match=r"ended before it answered(.|\n)*PLANNING_SECONDS"):
        call_command("try_out", port=served.a_free_port(), stdout=StringIO())


def test_a_taken_port_is_exchanged_for_a_free_one(tmp_path):
    with served.socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        chosen = served.Served(port, tmp_path / "log").port
        assert chosen != port
    assert served.is_free(chosen)


def test_pages_are_counted_in_packed_and_plain_papers():
    for paper in (quotation_pdf(a_quotation(count=60)), quotation_pdf(a_quotation())):
        assert page_count(paper) == len(opened(paper).pages)
    assert page_count(b"%PDF-1.4 << /Type /Pages >> << /Type /Page >> << /Type/Page/A 1 >>") == 2


def test_a_page_of_the_web_is_no_paper():
    assert page_count(b"<!doctype html> /Type /Page") == 0
