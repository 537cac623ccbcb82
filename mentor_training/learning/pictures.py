"""Items drawn by difficulty and discrimination, as SVG: the same figures give the same bytes.

The drawing library takes a second to import, so that happens when the first picture is asked for.
"""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from html import escape
from threading import Lock
from typing import TYPE_CHECKING, Any

from mentor_training.learning.statistics import FLOORS, Band
from mentor_training.web.typeface import NAME, truetype_file

if TYPE_CHECKING:
    from matplotlib.axes import Axes

TITLE = "Items by difficulty and discrimination"
SETTINGS = {
    "svg.hashsalt": "items",  # the names of shapes within the file are made from it and not by chance
    "svg.fonttype": "path",  # letters are drawn, so that every machine shows the same
    "font.family": NAME,
    "font.size": 11,
}
# The library's settings belong to the whole process, and pages are served by several threads.
ONE_AT_A_TIME = Lock()
STYLE = re.compile(r' style="([^"]*)"')
# An element without content that holds nothing but the one rule for all shapes.
SHEET = re.compile(r"\s*<defs>\s*<style[^>]*>\*\{([^}]*)\}</style>\s*</defs>")


@dataclass(frozen=True)
class Colors:
    """The page's own colors by their roles."""

    ink: str
    quiet: str
    rule: str
    see: str
    paper: str


Size = tuple[float, float]
FOR_A_DESK, FOR_A_PHONE = (7.2, 4.8), (3.6, 4.2)
BY_DAY = Colors("#22303c", "#55636f", "#d9d2c3", "#9a4b00", "#fbf9f4")
BY_NIGHT = Colors("#ebe6da", "#a8b3bc", "#3b454e", "#f2a765", "#181d22")


@dataclass(frozen=True)
class Point:
    """One item: the number by which its row is known, and where it stands; `marked` points at the module."""

    number: int
    difficulty: float
    discrimination: float
    marked: bool = False


def draw_items(points: Sequence[Point], not_drawn: int, colors: Colors = BY_DAY, inches: Size = FOR_A_DESK) -> bytes:
    """Draw items as SVG with a title and a description; letters stay as big whatever the size."""
    with ONE_AT_A_TIME:
        svg = _drawn(points, colors, inches)
    return _with_words(svg, describe(points, not_drawn)).encode()


def describe(points: Sequence[Point], not_drawn: int) -> str:
    """Say what the picture shows, for those who do not see it."""
    poor = [point for point in points if point.discrimination < float(FLOORS[-1][0])]
    said = (
        f"{_items(len(points))}, from left to right by the share of points reached, from bottom to top by how well "
        f"they tell the upper group from the lower; {len(poor)} below {float(FLOORS[-1][0]):.2f}."
    )
    marked = [str(point.number) for point in points if point.marked]
    if marked:
        said += f" Squares were chosen unsafe by 5% or more: {', '.join(marked)}."
    if not_drawn:
        said += f" Not drawn, because not defined: {_items(not_drawn)}."
    return said + " The table gives every figure."


def _items(count: int) -> str:
    return "1 item" if count == 1 else f"{count} items"


def _drawn(points: Sequence[Point], colors: Colors, inches: Size) -> str:
    import matplotlib as mpl
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    _bring_typeface()
    settings: Any = SETTINGS | {"text.color": colors.ink, "axes.labelcolor": colors.ink}
    settings |= dict.fromkeys(("xtick.color", "ytick.color", "axes.edgecolor"), colors.quiet)
    with mpl.rc_context(settings):
        figure = Figure(figsize=inches, layout="constrained", facecolor=colors.paper)
        FigureCanvasSVG(figure)
        axes = figure.add_subplot(facecolor=colors.paper)
        _draw_frame(axes, min([-0.1, *(point.discrimination - 0.1 for point in points)]), colors)
        for marked, form, color in ((False, "o", colors.ink), (True, "s", colors.see)):
            places = [(point.difficulty, point.discrimination) for point in points if point.marked == marked]
            if places:
                axes.plot(*zip(*places, strict=True), form, color=color, clip_on=False, zorder=3)
        _draw_numbers(axes, points)
        out = io.StringIO()
        figure.savefig(out, format="svg", metadata={"Date": None, "Creator": None, "Title": TITLE})
    return out.getvalue()


@cache
def _bring_typeface() -> None:
    from matplotlib.font_manager import fontManager

    fontManager.addfont(truetype_file())


def _draw_frame(axes: Axes, lowest: float, colors: Colors) -> None:
    """Draw the two scales, and a rule with its word at the floor of each of Ebel's bands."""
    axes.set_xlim(-0.03, 1.03)
    axes.set_ylim(max(-1.05, lowest), 1.05)
    axes.set_xlabel("Difficulty: share of the points reached")
    axes.set_ylabel("Discrimination: upper less lower group")
    axes.spines[["top", "right"]].set_visible(False)
    for floor, word in FLOORS:
        axes.axhline(float(floor), color=colors.rule, linewidth=1)
        axes.text(-0.02, float(floor) + 0.012, word.capitalize(), color=colors.quiet, fontsize=9)
    axes.text(-0.02, float(FLOORS[-1][0]) - 0.055, Band.POOR.capitalize(), color=colors.quiet, fontsize=9)


def _draw_numbers(axes: Axes, points: Sequence[Point]) -> None:
    """Write the numbers of the items beside their points, of those that lie together in one line."""
    for group in _together(points):
        to_left = max(point.difficulty for point in group) > 0.9
        outermost = min if to_left else max
        x = outermost(point.difficulty for point in group)
        y = sum(point.discrimination for point in group) / len(group)
        numbers = ", ".join(str(point.number) for point in group)
        side = "right" if to_left else "left"
        axes.annotate(numbers, (x, y), (-7 if to_left else 7, 0), textcoords="offset points", ha=side, va="center")


def _together(points: Sequence[Point]) -> list[list[Point]]:
    """Group points that lie so near one another that their numbers would lie on one another."""
    groups: list[list[Point]] = []
    for point in points:
        near = (group for group in groups if any(_is_near(point, other) for other in group))
        group = next(near, None)
        if group is None:
            groups.append([point])
        else:
            group.append(point)
    return groups


def _is_near(one: Point, other: Point) -> bool:
    return abs(one.difficulty - other.difficulty) < 0.05 and abs(one.discrimination - other.discrimination) < 0.06


def _with_words(svg: str, description: str) -> str:
    """Add the description, and write each style as attributes: the site's policy allows no style within a file."""
    sheet = SHEET.search(svg)
    drawing = svg[svg.index("<svg") :].replace(sheet[0], "", 1) if sheet else svg[svg.index("<svg") :]
    root = _as_attributes(sheet[1]) if sheet else ""
    drawing = STYLE.sub(lambda style: _as_attributes(style[1]), drawing).replace("<svg", f'<svg role="img"{root}', 1)
    title = f"<title>{TITLE}</title>"
    return drawing.replace(title, f"{title}\n <desc>{escape(description)}</desc>", 1)


def _as_attributes(style: str) -> str:
    pairs = (pair.split(":", 1) for pair in style.split(";") if pair.strip())
    return "".join(f' {name.strip()}="{value.strip()}"' for name, value in pairs)
