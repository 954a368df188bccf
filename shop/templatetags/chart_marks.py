"""Small reckoning for drawings in pages: a shifted position, a span of lateness."""

from __future__ import annotations

from django import template

from shop.web.plan_words import span

register = template.Library()
register.filter("span", span)


@register.filter
def add_to(value: float, more: float) -> float:
    """A position shifted, to a tenth."""
    return round(value + more, 1)
