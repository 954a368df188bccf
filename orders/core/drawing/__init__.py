"""Drawings of a joint as SVG, made from its solids alone.

`isometric` draws it taken apart, `assembly` draws pieces of a whole in their places, `view` gives
the dimensioned views, `holds` and `swatch` are the two small figures beside them, and `for_paper`
dresses any of them for print. A drawing carries geometry and class names only; colour and pens are
the style sheet's.
"""

from orders.core.drawing.assembly import assembly
from orders.core.drawing.dimensions import figure
from orders.core.drawing.isometric import isometric
from orders.core.drawing.small import holds, swatch
from orders.core.drawing.svg import for_paper
from orders.core.drawing.views import view, views

__all__ = ["assembly", "figure", "for_paper", "holds", "isometric", "swatch", "view", "views"]
