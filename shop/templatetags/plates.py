"""The joint that is drawn beside the sign-in form."""

from __future__ import annotations

from functools import lru_cache

from django import template
from django.utils.safestring import SafeString

from orders.core.book import joint_type, study
from orders.core.joint import Section
from orders.web.drawings import isometric

register = template.Library()


@register.simple_tag
@lru_cache(maxsize=1)
def mortise_and_tenon() -> SafeString:
    """A seat rail drawn out of the leg of a bench."""
    leg = Section(width_mm=70, thickness_mm=70, length_mm=420)
    rail = Section(width_mm=95, thickness_mm=45, length_mm=420)
    fitted = joint_type("mortise-tenon").fitted(leg, rail)
    return isometric(study(fitted), {"a": "leg", "b": "seat rail"}, ident="entry")
