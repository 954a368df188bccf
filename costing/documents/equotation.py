"""A quotation as data that an office's program reads: UBL 2.1 Quotation (ISO/IEC 19845)."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from functools import partial
from typing import Any
from uuid import NAMESPACE_URL, uuid5

from lxml import etree
from lxml.builder import ElementMaker

from costing.core.money import plain, rounded
from costing.core.offer import Adjustment, totals_of
from costing.core.quotation import Party, Quotation, QuotedItem, QuotedOption
from costing.documents.einvoice import PIECE, category, vat_identifier
from costing.documents.tongue import Tongue
from orders.core.errors import NotNow

UBL = "urn:oasis:names:specification:ubl:schema:xsd"
ROOT, CAC, CBC = (
    f"{UBL}:{name}-2"
    for name in ("Quotation", "CommonAggregateComponents", "CommonBasicComponents")
)
document = ElementMaker(namespace=ROOT, nsmap={None: ROOT, "cac": CAC, "cbc": CBC})
group = ElementMaker(namespace=CAC)
basic = ElementMaker(namespace=CBC)
VERSION = "2.1"


def equotation(quotation: Quotation) -> bytes:
    """The quotation in UBL; the same quotation always gives the same bytes.

    Options stand as alternatives beside the line they belong to, outside every total. Raises
    NotNow for a draft, which has no date.
    """
    if quotation.issued_on is None:
        raise NotNow(f"Quote {quotation.mark} is a draft; issue it, then take its data.")
    tongue = Tongue(quotation.language)
    root = document.Quotation(*_parts(quotation, tongue))
    written: bytes = etree.tostring(root, xml_declaration=True, encoding="UTF-8", pretty_print=True)
    return written


def _parts(said: Quotation, tongue: Tongue) -> Iterator[Any]:
    """The elements of the document in the order of its schema."""
    money = partial(_amount, currency=said.currency)
    yield basic.UBLVersionID(VERSION)
    yield basic.ID(said.mark)
    yield basic.CopyIndicator("false")
    yield basic.UUID(str(uuid5(NAMESPACE_URL, f"{said.seller.name}/{said.mark}/{said.issued_on}")))
    yield basic.IssueDate(str(said.issued_on))
    yield from (basic.Note(text) for text in _notes(said, tongue))
    yield basic.PricingCurrencyCode(said.currency)
    yield basic.LineCountNumeric(str(len(said.charged)))
    yield group.ValidityPeriod(
        basic.StartDate(str(said.issued_on)), basic.EndDate(str(said.valid_until))
    )
    yield group.SellerSupplierParty(_party(said.seller))
    yield group.BuyerCustomerParty(_party(said.client))
    if said.due_on:
        yield group.Delivery(group.RequestedDeliveryPeriod(basic.EndDate(str(said.due_on))))
    if said.lead_days:
        when = tongue.said("working_days_from", days=said.lead_days, trigger=said.lead_trigger)
        yield group.DeliveryTerms(basic.SpecialTerms(when))
    if conditions := [*_conditions(said, tongue)]:
        yield group.TransactionConditions(*map(basic.Description, conditions))
    yield from (_adjustment(one, money) for one in said.adjustments)
    yield _tax_total(said, money)
    yield _monetary_total(said, money)
    for number, item in enumerate(said.charged, start=1):
        yield _line(said, number, item, money)


def _notes(said: Quotation, tongue: Tongue) -> Iterator[str]:
    """What the paper says of how it is made."""
    words = tongue.words
    yield said.title
    for key in ("timber", "exposure", "glue", "finish", "assumptions", "exclusions"):
        if text := getattr(said, key):
            yield f"{words['where_it_stands' if key == 'exposure' else key]}: {text}"


def _conditions(said: Quotation, tongue: Tongue) -> Iterator[str]:
    """The payments that are asked for, and the shop's own terms."""
    for number, stage in enumerate(said.stages, start=1):
        amount = tongue.money(stage.amount, said.currency)
        due = f", {stage.due}" if stage.due else ""
        yield f"{number}. {stage.label}, {tongue.rate(stage.percent)}: {amount}{due}"
    if said.terms:
        yield said.terms


def _party(who: Party) -> Any:
    lines = [line.strip() for line in who.address.splitlines() if line.strip()]
    place = [basic.StreetName(lines[0])] if lines else []
    place += [group.AddressLine(basic.Line(line)) for line in lines[1:]]
    if who.country:
        place.append(group.Country(basic.IdentificationCode(who.country)))
    contact = [
        element(text)
        for element, text in (
            (basic.Name, who.contact),
            (basic.Telephone, who.phone),
            (basic.ElectronicMail, who.email),
        )
        if text
    ]
    parts = [group.PartyName(basic.Name(who.name))]
    if place:
        parts.append(group.PostalAddress(*place))
    if number := vat_identifier(who.tax_number, who.country) or who.tax_number:
        parts.append(group.PartyTaxScheme(basic.CompanyID(number), _scheme()))
    if contact:
        parts.append(group.Contact(*contact))
    return group.Party(*parts)


def _scheme() -> Any:
    return group.TaxScheme(basic.ID("VAT"))


def _tax_category(element: Any, letter: str, rate: Decimal) -> Any:
    return element(basic.ID(category(letter, rate)), basic.Percent(plain(rate)), _scheme())


def _adjustment(one: Adjustment, money: Any) -> Any:
    return group.AllowanceCharge(
        basic.ChargeIndicator("true" if one.amount >= 0 else "false"),
        basic.AllowanceChargeReason(one.label),
        money(basic.Amount, abs(one.amount)),
        _tax_category(group.TaxCategory, one.tax_category, one.tax_rate),
    )


def _tax_total(said: Quotation, money: Any) -> Any:
    return group.TaxTotal(
        money(basic.TaxAmount, said.tax),
        *(
            group.TaxSubtotal(
                money(basic.TaxableAmount, one.taxable),
                money(basic.TaxAmount, one.tax),
                _tax_category(group.TaxCategory, one.category, one.rate),
            )
            for one in said.taxes
        ),
    )


def _monetary_total(said: Quotation, money: Any) -> Any:
    foot = totals_of(said.taxed, said.adjustments, said.currency)
    return group.QuotedMonetaryTotal(
        money(basic.LineExtensionAmount, foot.lines),
        money(basic.TaxExclusiveAmount, said.net),
        money(basic.TaxInclusiveAmount, said.gross),
        money(basic.AllowanceTotalAmount, foot.allowances),
        money(basic.ChargeTotalAmount, foot.charges),
        money(basic.PayableAmount, said.gross),
    )


def _line(said: Quotation, number: int, item: QuotedItem, money: Any) -> Any:
    rate = said.first_rate if item.tax_rate is None else item.tax_rate
    sign = -1 if item.net < 0 else 1
    quantity = str(sign * item.quantity)
    line = group.LineItem(
        basic.ID(str(number)),
        basic.Quantity(quantity, unitCode=PIECE),
        money(basic.LineExtensionAmount, item.net),
        group.Price(
            money(basic.PriceAmount, abs(item.net)),
            basic.BaseQuantity(str(item.quantity), unitCode=PIECE),
        ),
        _item(item.label, item.note, item.tax_category, rate),
    )
    return group.QuotationLine(
        line,
        *(
            _option(place, option, said, money)
            for place, option in enumerate(said.options, start=1)
            if not option.is_taken and _belongs(option, said) == number
        ),
    )


def _belongs(option: QuotedOption, said: Quotation) -> int:
    """The line beside which an option stands: the one it names, else the first."""
    named = option.instead_of.casefold()
    found = (n for n, one in enumerate(said.charged, start=1) if one.label.casefold() == named)
    return next(found, 1)


def _option(place: int, option: QuotedOption, said: Quotation, money: Any) -> Any:
    rate = said.first_rate if option.tax_rate is None else option.tax_rate
    note = Tongue(said.language).words[f"option_{option.kind.value}"]
    return group.AlternativeLineItem(
        basic.ID(f"O{place}"),
        basic.Note(f"{note}: {option.instead_of}" if option.instead_of else note),
        basic.Quantity("1", unitCode=PIECE),
        money(basic.LineExtensionAmount, option.net),
        _item(option.label, option.note, option.tax_category, rate),
    )


def _item(label: str, note: str, letter: str, rate: Decimal) -> Any:
    parts = [basic.Description(note)] if note else []
    parts.append(basic.Name(label))
    return group.Item(*parts, _tax_category(group.ClassifiedTaxCategory, letter, rate))


def _amount(element: Any, value: Decimal, currency: str) -> Any:
    return element(f"{rounded(value, currency):f}", currencyID=currency)
