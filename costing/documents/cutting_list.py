"""The cutting list: what is sawn out of which timber, for the saw and the planer to tick off."""

from __future__ import annotations

from django.template.loader import render_to_string

from costing.documents.press import printed
from costing.services.sawing import CuttingList


def cutting_list_pdf(sawing: CuttingList) -> bytes:
    """The cutting list on paper."""
    page = render_to_string(
        "documents/cutting_list.html",
        {"list": sawing, "shop": sawing.shop, "made_on": sawing.on, "project": sawing.title},
    )
    return printed([page])
