"""SVG as text: numbers, elements, the frame of a drawing, and its dress for paper."""

import re
from collections.abc import Iterable, Sequence
from functools import lru_cache
from html import escape

from orders.core.drawing.flat import Box, Loop
from orders.core.drawing.projection import Spot

TEXT_PX = 13.0
LETTER_EM = 0.56

_PAPER = """\
.drawing path{stroke:none;fill:none;stroke-linecap:round;stroke-linejoin:round}
.drawing .d-face{fill:#fff}
.drawing .d-endface{fill:#f3ece0}
.drawing .d-cut{fill:#e4e7e6}
.drawing .d-heavy{stroke:#000;stroke-width:1.9}
.drawing .d-thin{stroke:#000;stroke-width:1}
.drawing .d-face.d-heavy{stroke-width:1.5}
.drawing .d-grain{stroke:#444;stroke-width:.6}
.drawing .d-end{stroke:#5d4a35;stroke-width:.75}
.drawing .d-hatch{stroke:#222;stroke-width:.6}
.drawing .d-hidden{stroke:#000;stroke-width:1.1;stroke-dasharray:5 3}
.drawing .d-centre{stroke:#5d4a35;stroke-width:1;stroke-dasharray:14 3 2 3}
.drawing .d-explode{stroke:#5d4a35;stroke-width:1;stroke-dasharray:9 3 2 3}
.drawing .d-dim,.drawing .d-leader{stroke:#333;stroke-width:.8}
.drawing .d-tick{stroke:#000;stroke-width:1.6}
.drawing .d-dot{fill:#000}
.drawing text{font-family:Sofia,"Arial Narrow",sans-serif;font-size:13px;fill:#000}
.drawing .d-label{font-weight:500}
.drawing .d-fig{font-weight:600}
.drawing .d-held{stroke:#000;stroke-width:1.2}
.drawing .d-bar{stroke:#000;stroke-width:3;stroke-linecap:butt}
.drawing .d-open{stroke:#5d4a35;stroke-width:2.5;stroke-dasharray:6 3;stroke-linecap:butt}
.drawing .d-openhead{fill:#fff;stroke:#000;stroke-width:1.8}
.swatch{stroke:#000;fill:none;stroke-width:1}
"""
_OPENING = re.compile(r"(<svg\b[^>]*>(?:<title\b[^>]*>[^<]*</title>)?)")


@lru_cache(maxsize=65536)
def _rounded(tenths: int) -> str:
    whole, part = divmod(abs(tenths), 10)
    sign = "-" if tenths < 0 else ""
    return f"{sign}{whole}.{part}" if part else f"{sign}{whole}"


def number(value: float) -> str:
    """A coordinate to a tenth, as short as it can be written."""
    return _rounded(round(value * 10))


def line(*spots: Spot) -> str:
    """Path data of an open line."""
    return "M" + "L".join(f"{number(u)} {number(v)}" for u, v in spots)


def loops(pieces: Iterable[Loop]) -> str:
    """Path data of closed loops."""
    return "".join(line(*piece) + "Z" for piece in pieces)


def path(classes: str, data: str) -> str:
    """A path, or nothing if there is nothing to draw."""
    return f'<path class="{classes}" d="{data}"/>' if data else ""


def text_width(text: str, size: float = TEXT_PX) -> float:
    """How wide a text may be, on the safe side."""
    return len(text) * size * LETTER_EM


def text(classes: str, words: str, at: Spot, *, anchor: str = "start", turned: float = 0.0) -> str:
    """A line of text; `turned` is in degrees, clockwise."""
    place = (
        f'transform="translate({number(at[0])} {number(at[1])}) rotate({number(turned)})"'
        if turned
        else f'x="{number(at[0])}" y="{number(at[1])}"'
    )
    return f'<text class="{classes}" text-anchor="{anchor}" {place}>{escape(words)}</text>'


def drawing(kind: str, ident: str, title: str, box: Box, body: Sequence[str]) -> str:
    """The whole drawing: its frame, its title in words, and what is in it."""
    left, top = box[0] // 1, box[1] // 1
    width, height = -((left - box[2]) // 1), -((top - box[3]) // 1)
    mark = escape(f"{ident}-title", quote=True)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="drawing {kind}" '
        f'viewBox="{left:.0f} {top:.0f} {width:.0f} {height:.0f}" '
        f'width="{width:.0f}" height="{height:.0f}" role="img" aria-labelledby="{mark}">'
        f'<title id="{mark}">{escape(title)}</title>{"".join(body)}</svg>'
    )


def for_paper(svg: str) -> str:
    """The same drawing with its own style of literal values, for a printer of pages.

    A page's style sheet and its custom properties do not reach into a drawing there.
    """
    return _OPENING.sub(lambda found: f"{found[1]}<style>{_PAPER}</style>", svg, count=1)
