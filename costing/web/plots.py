"""Plots as SVG that a strict Content-Security-Policy lets through, in the colours of the sheet.

The plotting library writes inline styles and literal colours; here they become presentation
attributes, and each colour the variable it stands for, so that a plot is dark where the page is.
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from typing import Any

import matplotlib as mpl
from django.utils.safestring import SafeString, mark_safe
from lxml import etree
from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

INK, INK_2, EDGE, OAK, WASH, FILM, RULE = (
    f"#0{number}0{number}0{number}" for number in range(1, 8)
)
VARIABLES = {
    INK: "var(--ink)",
    INK_2: "var(--ink-2)",
    EDGE: "var(--edge)",
    OAK: "var(--oak-line)",
    WASH: "var(--oak-wash)",
    FILM: "var(--film)",
    RULE: "var(--rule)",
}
SVG = "{http://www.w3.org/2000/svg}"
LINK = "{http://www.w3.org/1999/xlink}href"
POINTS_PER_PX = 0.75
SETTINGS: Any = {
    "svg.fonttype": "none",
    "svg.hashsalt": "trenail",
    "font.size": 13 * POINTS_PER_PX,
    "font.family": "sans-serif",
    "axes.edgecolor": INK,
    "axes.labelcolor": INK_2,
    "axes.linewidth": 1.0 * POINTS_PER_PX,
    "xtick.color": INK,
    "ytick.color": INK,
    "xtick.labelcolor": INK_2,
    "ytick.labelcolor": INK,
    "text.color": INK,
    "hatch.color": EDGE,
    "hatch.linewidth": 0.8,
    "text.parse_math": False,
}
mpl.rcParams.update(SETTINGS)  # nothing else in this process draws with it


def drawn(
    draw: Callable[[Axes], None], *, ident: str, title: str, width_px: int, height_px: int
) -> SafeString:
    """What `draw` puts on one pair of axes, as an image that `title` says in words.

    `ident` keeps what is named inside apart from other plots of the page.
    """
    figure = Figure(figsize=(width_px / 96, height_px / 96), layout="constrained")
    figure.patch.set_visible(False)
    axes = figure.add_subplot()
    axes.patch.set_visible(False)
    for side in ("top", "right", "left"):
        axes.spines[side].set_visible(False)
    draw(axes)
    file = io.BytesIO()
    canvas: Any = FigureCanvasSVG(figure)
    canvas.print_svg(file, metadata={"Date": None})
    return mark_safe(_tamed(file.getvalue(), ident, title))  # made here; the title is escaped


def _tamed(raw: bytes, ident: str, title: str) -> str:
    """The image without inline style, literal colour or a name that another plot may have."""
    root = etree.fromstring(raw)
    for gone in [*root.iter(f"{SVG}metadata"), *root.iter(f"{SVG}style")]:
        gone.getparent().remove(gone)
    for node in root.iter(etree.Element):
        _restyle(node)
        _rename(node, ident)
    for name in ("width", "height", "version"):
        root.attrib.pop(name, None)
    root.attrib.update(
        {
            "class": "plot",
            "role": "img",
            "aria-label": title,
            "stroke-linejoin": "round",
            "stroke-linecap": "butt",
        }
    )
    etree.cleanup_namespaces(root)
    return str(etree.tostring(root, encoding="unicode"))


def _restyle(node: Any) -> None:
    for rule in node.attrib.pop("style", "").split(";"):
        name, colon, value = (part.strip() for part in rule.partition(":"))
        if not colon:
            continue
        if name == "font":
            name, value = "font-size", re.search(r"[\d.]+px", value)[0]  # type: ignore[index]
        node.set(name, VARIABLES.get(value, value))
    for name in ("fill", "stroke"):
        if name in node.attrib:
            node.set(name, VARIABLES.get(node.get(name), node.get(name)))


def _rename(node: Any, ident: str) -> None:
    if "id" in node.attrib:
        node.set("id", f"{ident}-{node.get('id')}")
    link = node.attrib.get(LINK, "")
    if link.startswith("#"):
        node.attrib.pop(LINK)
        node.set("href", f"#{ident}-{link[1:]}")
    for name, value in node.attrib.items():
        if "url(#" in value:
            node.set(name, value.replace("url(#", f"url(#{ident}-"))
