"""What pictures of figures share: the page's colors, sizes, the typeface, and SVG that the content policy lets in.

The same figures give the same bytes. The drawing library takes a second to import, so that happens when the first
picture is asked for.
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from html import escape
from threading import Lock
from typing import TYPE_CHECKING, Any

from mentor_training.web.typeface import NAME, truetype_file

if TYPE_CHECKING:
    from matplotlib.axes import Axes

# The library's settings belong to the whole process, and pages are served by several threads.
_ONE_AT_A_TIME = Lock()
_STYLE = re.compile(r' style="([^"]*)"')
# An element without content that holds nothing but the one rule for all shapes.
_SHEET = re.compile(r"\s*<defs>\s*<style[^>]*>\*\{([^}]*)\}</style>\s*</defs>")


@dataclass(frozen=True)
class Colors:
    """The page's own colors by their roles."""

    ink: str
    quiet: str
    rule: str
    see: str
    paper: str


Size = tuple[float, float]
BY_DAY = Colors("#22303c", "#55636f", "#d9d2c3", "#9a4b00", "#fbf9f4")
BY_NIGHT = Colors("#ebe6da", "#a8b3bc", "#3b454e", "#f2a765", "#181d22")


def draw(title: str, description: str, colors: Colors, inches: Size, fill: Callable[[Axes], None]) -> bytes:
    """Draw a picture as SVG with a title and a description; `fill` draws into its axes.

    Letters stay as big whatever the size.
    """
    with _ONE_AT_A_TIME:
        svg = _drawn(title, colors, inches, fill)
    return _with_words(svg, title, description).encode()


def _drawn(title: str, colors: Colors, inches: Size, fill: Callable[[Axes], None]) -> str:
    import matplotlib as mpl
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    _bring_typeface()
    with mpl.rc_context(_settings(title, colors)):
        figure = Figure(figsize=inches, layout="constrained", facecolor=colors.paper)
        FigureCanvasSVG(figure)
        fill(figure.add_subplot(facecolor=colors.paper))
        out = io.StringIO()
        figure.savefig(out, format="svg", metadata={"Date": None, "Creator": None, "Title": title})
    return out.getvalue()


def _settings(title: str, colors: Colors) -> Any:
    settings: dict[str, Any] = {
        "svg.hashsalt": title,  # the names of shapes within the file are made from it and not by chance
        "svg.fonttype": "path",  # letters are drawn, so that every machine shows the same
        "font.family": NAME,
        "font.size": 11,
        "text.color": colors.ink,
        "axes.labelcolor": colors.ink,
    }
    return settings | dict.fromkeys(("xtick.color", "ytick.color", "axes.edgecolor"), colors.quiet)


@cache
def _bring_typeface() -> None:
    from matplotlib.font_manager import fontManager

    fontManager.addfont(truetype_file())


def _with_words(svg: str, title: str, description: str) -> str:
    """Add the description, and write each style as attributes: the site's policy allows no style within a file."""
    sheet = _SHEET.search(svg)
    drawing = svg[svg.index("<svg") :].replace(sheet[0], "", 1) if sheet else svg[svg.index("<svg") :]
    root = _as_attributes(sheet[1]) if sheet else ""
    drawing = _STYLE.sub(lambda style: _as_attributes(style[1]), drawing).replace("<svg", f'<svg role="img"{root}', 1)
    named = f"<title>{escape(title)}</title>"
    return drawing.replace(named, f"{named}\n <desc>{escape(description)}</desc>", 1)


def _as_attributes(style: str) -> str:
    pairs = (pair.split(":", 1) for pair in style.split(";") if pair.strip())
    return "".join(f' {name.strip()}="{value.strip()}"' for name, value in pairs)
