"""What a quote says and what it was made from, as values: written, read back, reckoned again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice

from pydantic import TypeAdapter

from costing.core.arrangement import Arrangement, arranged
from costing.core.breakdown import EstimateInput
from costing.core.estimate import Estimate, estimate
from costing.core.pricing import Pricing
from costing.core.quotation import Party, Quotation, quoted_items
from costing.core.rack import Rack
from costing.core.rates import RateBook
from costing.core.wording import called, words_of
from costing.models import Quote
from costing.services.estimating import Basis
from orders.core.exposure import Exposure
from orders.core.language import Language, language_of
from orders.core.pattern import Piece
from orders.core.species import species as species_of
from orders.models import Client, Commission
from orders.services.standing import read_pieces, standing, written
from shop.models import Workshop

MOST_DRAWINGS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Reckoning:
    """All that a quote was made from, kept with it so that it can be made again.

    `roots` names the top assembly of every assembly by key, `names` what an assembly is called;
    `glue` is empty where none is used.
    """

    commission: EstimateInput
    rates: RateBook
    rack: Rack
    pricing: Pricing
    roots: Mapping[str, str]
    names: Mapping[str, str]
    species: tuple[str, ...]
    exposure: Exposure
    glue: str = ""
    glue_class: str = ""
    tax_name: str = ""


QUOTATION = TypeAdapter(Quotation)
ESTIMATE = TypeAdapter(Estimate)
RECKONING = TypeAdapter(Reckoning)
ARRANGEMENT = TypeAdapter(Arrangement)


def quotation_of(quote: Quote) -> Quotation:
    """What the quote says."""
    return QUOTATION.validate_python(quote.content["quotation"])


def agreed_of(quote: Quote) -> Quotation:
    """What was agreed: what the quote says, with the options that the client took."""
    return QUOTATION.validate_python(quote.content.get("agreed") or quote.content["quotation"])


def estimate_of(quote: Quote) -> Estimate:
    """The estimate that the quote was made from."""
    return ESTIMATE.validate_python(quote.content["estimate"])


def arrangement_of(quote: Quote) -> Arrangement:
    """What was arranged for the quote beside its estimate."""
    return ARRANGEMENT.validate_python(quote.arranged)


def reckoned_again(quote: Quote) -> Estimate | None:
    """The estimate made anew from what the quote keeps; None for one that does not keep it."""
    if "reckoning" not in quote.content:
        return None
    kept = RECKONING.validate_python(quote.content["reckoning"])
    return estimate(kept.commission, kept.rates, kept.rack, kept.pricing)


def drawn_of(quote: Quote) -> tuple[tuple[str, tuple[Piece, ...]], ...]:
    """The pieces that the quote is for, each by its name, as they stood when it was drafted."""
    return tuple(
        (row["label"], read_pieces(row["pieces"])) for row in quote.content.get("drawn", ())
    )


def draft(quote: Quote, basis: Basis, made: Estimate) -> None:
    """Fill a draft from an estimate; what was arranged stays.

    Raises RuleBroken or RulesBroken where what was arranged does not fit the estimate.
    """
    kept = reckoning_of(quote.commission, basis)
    said = said_by(quote, made, kept)
    quote.content = {
        "quotation": QUOTATION.dump_python(said, mode="json"),
        "estimate": ESTIMATE.dump_python(made, mode="json"),
        "reckoning": RECKONING.dump_python(kept, mode="json"),
        "drawn": list(_drawn(quote.commission)),
    }
    _note(quote, said)


def rearrange(quote: Quote) -> None:
    """Say a draft anew from the estimate that it has, as it is arranged now."""
    kept = RECKONING.validate_python(quote.content["reckoning"])
    said = said_by(quote, estimate_of(quote), kept)
    quote.content["quotation"] = QUOTATION.dump_python(said, mode="json")
    _note(quote, said)


def _note(quote: Quote, said: Quotation) -> None:
    quote.currency, quote.net, quote.tax, quote.gross = (
        said.currency,
        said.net,
        said.tax,
        said.gross,
    )


def reckoning_of(commission: Commission, basis: Basis) -> Reckoning:
    """What a quote of this basis keeps."""
    glue = basis.rack.glue_for(basis.glue_class) if basis.commission.glue else None
    return Reckoning(
        commission=basis.commission,
        rates=basis.rates,
        rack=basis.rack,
        pricing=basis.pricing,
        roots=basis.roots,
        names={str(pk): name for pk, name in commission.assemblies.values_list("pk", "name")},
        species=tuple(sorted(basis.species)),
        exposure=Exposure(commission.exposure),
        glue=glue.label if glue else "",
        glue_class=str(glue.durability_class) if glue else "",
        tax_name=basis.rate_edition.tax_name,
    )


def _drawn(commission: Commission) -> Iterator[dict[str, object]]:
    """The first top assemblies that a pattern has placed."""
    roots = commission.assemblies.filter(parent=None)
    placed = ((root, pieces) for root in roots if (pieces := standing(root)))
    for root, pieces in islice(placed, MOST_DRAWINGS):
        yield {"label": root.name, "pieces": written(pieces)}


def said_by(quote: Quote, made: Estimate, kept: Reckoning) -> Quotation:
    """What the paper will say, with what is arranged."""
    commission, arrangement = quote.commission, arrangement_of(quote)
    language = language_for(commission, arrangement)
    words = words_of(language)
    plain = Quotation(
        number=commission.mark,
        revision=quote.revision,
        title=commission.title,
        currency=made.currency,
        seller=seller(commission.workshop),
        client=client(commission.client),
        items=quoted_items(
            made, kept.roots, names=kept.names, whole_label=words["whole_commission"]
        ),
        net=made.net,
        tax_name=kept.tax_name,
        taxes=made.taxes,
        tax=made.tax,
        gross=made.gross,
        valid_until=quote.valid_until,
        due_on=commission.due_on,
        timber=timber_in(kept.species, language),
        exposure=called("exposure", kept.exposure.value, kept.exposure.label, language),
        glue=words["durability_of"].format(**{"glue": kept.glue, "class": kept.glue_class})
        if kept.glue
        else "",
        terms=quote.terms,
        standard_edition=quote.standard_edition.number,
        rate_edition=quote.rate_edition.number,
        language=language,
    )
    return arranged(plain, arrangement)


def language_for(commission: Commission, arrangement: Arrangement) -> Language:
    """The language that the paper is in: as arranged, or the client's, or the workshop's."""
    if arrangement.language:
        return arrangement.language
    return language_of(commission.client.language or commission.workshop.language)


def timber_in(codes: Sequence[str], language: Language) -> str:
    """The timbers by their names in a language, in order; German writes nouns with a capital."""
    names = sorted({called("species", code, species_of(code).label, language) for code in codes})
    return ", ".join(name if language is Language.DE else name.lower() for name in names)


def seller(workshop: Workshop) -> Party:
    """The workshop as it is written on papers."""
    return Party(
        name=printable(workshop.name),
        address=printable(workshop.address),
        email=workshop.email,
        phone=printable(workshop.phone),
        tax_number=printable(workshop.tax_number),
        country=workshop.country,
    )


def client(row: Client) -> Party:
    """The client as they are written on papers."""
    return Party(
        name=printable(row.name),
        address=printable(row.address),
        contact=printable(row.contact),
        email=row.email,
        phone=printable(row.phone),
        tax_number=printable(row.tax_number),
        country=row.country or row.workshop.country,
    )


def printable(text: str) -> str:
    """A text without what neither paper nor XML can hold."""
    return "".join(letter for letter in text if letter.isprintable() or letter in "\t\r\n")
