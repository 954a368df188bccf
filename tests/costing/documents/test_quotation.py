"""The quotation on paper."""

from datetime import date
from decimal import Decimal

import pytest

from costing.core.arrangement import Arrangement, AskedOption, arranged
from costing.core.money import TaxGroup
from costing.core.offer import StageShare
from costing.core.quotation import Party, QuotedItem
from costing.documents.quotation import QUOTATION, quotation_pdf
from costing.documents.tongue import Tongue
from orders.core.language import Language
from tests.costing.documents.reading import opened, pages, words
from tests.costing.documents.samples import a_quotation


def test_it_says_all_that_was_offered():
    said = words(quotation_pdf(a_quotation()))
    for text in (
        "Carrick and Daughters",
        "14 Mill Lane",
        "Ballymore House",
        "0417-2",
        "Oak hall bench",
        "15 April 2026",
        "15 May 2026",
        "30 June 2026",
        "White oak",
        "Dry interior",
        "durability class D2 of EN 204",
        "Half on acceptance, half on delivery.",
        "standard times, edition 1",
    ):
        assert text in said, text


def test_its_figures_are_those_of_the_quotation():
    said = words(quotation_pdf(a_quotation()))
    assert said.count("1,250.40") == 3
    assert "VAT 23 % of 3,751.20" in said
    assert "862.78" in said
    assert "€4,613.98" in said


def test_each_rate_of_tax_has_its_line():
    taxes = tuple(
        TaxGroup(category="S", rate=Decimal(r), taxable=Decimal(t), tax=Decimal(x))
        for r, t, x in (("23", "100", "23.00"), ("13.5", "200", "27.00"), ("0", "300", "0.00"))
    )
    said = words(quotation_pdf(a_quotation(taxes=taxes)))
    assert "VAT 23 % of 100.00" in said
    assert "VAT 13.5 % of 200.00" in said
    assert "VAT 0 % of 300.00" in said


@pytest.mark.parametrize(
    ("currency", "shown"), [("EUR", "1,234.50"), ("JPY", "1,234"), ("KWD", "1,234.500")]
)
def test_amounts_have_the_minor_units_of_their_currency(currency, shown):
    assert (
        Tongue(Language.EN).amount(
            Decimal("1234.5") if currency != "JPY" else Decimal(1234), currency
        )
        == shown
    )


def test_rates_are_per_cent_without_idle_zeros():
    assert Tongue(Language.EN).rate(Decimal("23.000")) == "23\u00a0%"
    assert Tongue(Language.EN).rate(Decimal("13.500")) == "13.5\u00a0%"


@pytest.mark.parametrize("count", [1, 3, 8])
def test_a_short_one_is_one_page(count):
    assert len(pages(quotation_pdf(a_quotation(count)))) == 1


def test_a_long_one_repeats_the_heads_of_its_columns():
    found = pages(quotation_pdf(a_quotation(90)))
    assert len(found) >= 4
    for text in found:
        assert ("net, EUR" in text) == ("Seat frame" in text)
    everything = "".join(found)
    assert all(f"Seat frame {number} " in everything for number in range(1, 91))


@pytest.mark.parametrize("count", range(16, 25))
def test_totals_never_stand_alone(count):
    found = pages(quotation_pdf(a_quotation(count)))
    (last,) = [text for text in found if "Total" in text]
    assert f"Seat frame {count}" in last
    assert "VAT" in last
    assert "Net" in last


def test_a_draft_says_so_on_every_page_and_asks_for_no_yes():
    paper = quotation_pdf(a_quotation(60, issued_on=None), is_draft=True)
    found = pages(paper)
    assert len(found) == 3
    assert all("Draft" in text for text in found)
    assert "This is no offer yet" in found[0]
    assert "Your yes" not in words(paper)
    assert "Draft" not in words(quotation_pdf(a_quotation()))


def test_one_without_particulars_leaves_no_empty_heads():
    said = words(
        quotation_pdf(
            a_quotation(
                timber="", exposure="", glue="", terms="", due_on=None, client=Party(name="A")
            )
        )
    )
    for head in ("How it is made", "Timber", "Terms", "Ready by"):
        assert head not in said


def test_what_people_type_is_text_and_nothing_else():
    said = words(
        quotation_pdf(a_quotation(title="<b>Oak</b> & <img src=x>", terms="<script>1</script>"))
    )
    assert "<b>Oak</b> & <img src=x>" in said
    assert "<script>1</script>" in said


def test_a_long_title_stays_in_the_title_block_of_every_page():
    title = "Fitted dresser with glazed doors, plate racks and drawers for the gate lodge in oak"
    found = pages(quotation_pdf(a_quotation(60, title=title)))
    for text in found:
        assert "lodge in oak" in " ".join(text.split())


def test_it_is_written_for_archives_and_carries_its_figures():
    quotation = a_quotation()
    paper = opened(quotation_pdf(quotation))
    with paper.open_metadata() as said:
        assert said.pdfa_status == "3A"
    enclosed = paper.attachments["quotation.json"].get_file().read_bytes()
    assert QUOTATION.validate_json(enclosed) == quotation


def test_it_is_dated_by_the_quotation_and_not_by_the_clock():
    paper = quotation_pdf(a_quotation(issued_on=date(2026, 4, 15)))
    assert str(opened(paper).docinfo["/CreationDate"]).startswith("D:20260415")
    assert paper == quotation_pdf(a_quotation(issued_on=date(2026, 4, 15)))
    assert paper != quotation_pdf(a_quotation(issued_on=date(2026, 4, 16)))


@pytest.mark.parametrize(
    ("language", "currency", "found"),
    [
        ("de", "EUR", ("Angebot", "1.250,40", "15. April 2026", "Wunsch", "Zahlungsplan")),
        ("fr", "KWD", ("Devis", "1 250,400", "15 avril 2026", "En option", "Échéancier")),
        ("es", "JPY", ("Presupuesto", "1.250", "15 de abril de 2026", "Opciones", "Forma de pago")),
        ("nl", "CHF", ("Offerte", "1.250,40", "15 april 2026", "Ook mogelijk", "termijnen")),
    ],
)
def test_it_speaks_the_language_of_the_client(language, currency, found):
    net = Decimal(1250) if currency == "JPY" else Decimal("1250.40")
    items = (QuotedItem(label="Bank", quantity=1, net=net),)
    plain = a_quotation(language=Language(language), currency=currency, items=items)
    said = arranged(
        plain,
        Arrangement(
            options=(AskedOption(label="+", net=Decimal(10)),),
            stages=(StageShare(label="1", percent=Decimal(100)),),
            lead_days=20,
            lead_trigger="x",
        ),
    )

    text = words(quotation_pdf(said))

    assert all(word in text for word in found), text
    assert "Also possible" not in text
