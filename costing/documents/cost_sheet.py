"""The cost sheet: a price with everything that it is made of, for the office and nobody else."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.template.loader import render_to_string

from costing.core.distribution import Distribution
from costing.core.estimate import Estimate
from costing.core.lines import Line
from costing.documents.press import printed
from costing.services.papers import Shop
from orders.web.formats import amount, figure, money, share

DEEPEST = 4
"""How far rows step in; what lies deeper stands as deep as this."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Costed:
    """An estimate and what it belongs to; `mark` is a commission's or a quote's."""

    mark: str
    title: str
    client: str
    estimate: Estimate
    standard_edition: int
    rate_edition: int
    tax_name: str
    made_on: date


def cost_sheet_pdf(costed: Costed, shop: Shop) -> bytes:
    """The cost sheet on paper: every figure with the figures it adds up from."""
    made = costed.estimate
    page = render_to_string(
        "documents/cost_sheet.html",
        {
            "costed": costed,
            "made": made,
            "shop": shop,
            "made_on": costed.made_on,
            "project": costed.title,
            "rows": list(rows_of(made.lines, made.currency)),
            "sure": list(_how_sure(made)),
            "facts": list(_facts(costed)),
        },
    )
    return printed([page])


def rows_of(lines: Sequence[Line], currency: str, level: int = 1) -> Iterator[dict[str, Any]]:
    """Every line and what lies under it, each with how far it steps in."""
    for line in lines:
        yield {
            "line": line,
            "level": min(level, DEEPEST),
            "amount": amount(line.amount, currency),
            "opens": bool(line.children),
        }
        yield from rows_of(line.children, currency, level + 1)


def _facts(costed: Costed) -> Iterator[tuple[str, str]]:
    made = costed.estimate
    yield "Net price", money(made.net, made.currency)
    yield "Cost", money(made.cost, made.currency)
    yield "Profit", money(made.profit, made.currency)
    yield "Margin, of the price", share(made.margin, 1)
    yield "Markup, on cost", share(made.markup, 1)
    yield "Chance of loss", share(made.chance_of_loss, 1)


def _how_sure(made: Estimate) -> Iterator[tuple[str, Sequence[str]]]:
    def written(of: Distribution, places: int) -> Sequence[str]:
        values = (of.mean, of.p50, of.p80, of.p90)
        return [figure(value, places) for value in values]

    yield "Hours at the bench", written(made.hours, 1)
    yield f"Cost, {made.currency}", written(made.expected_cost, 2)
