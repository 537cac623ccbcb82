"""Items drawn by difficulty and discrimination, as SVG."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from mentor_training.learning.statistics import FLOORS, Band
from mentor_training.web.charts import BY_DAY, Colors, Size, draw

if TYPE_CHECKING:
    from matplotlib.axes import Axes

TITLE = "Items by difficulty and discrimination"
FOR_A_DESK, FOR_A_PHONE = (7.2, 4.8), (3.6, 4.2)


@dataclass(frozen=True)
class Point:
    """One item: the number by which its row is known, and where it stands; `marked` points at the module."""

    number: int
    difficulty: float
    discrimination: float
    marked: bool = False


def draw_items(points: Sequence[Point], not_drawn: int, colors: Colors = BY_DAY, inches: Size = FOR_A_DESK) -> bytes:
    """Draw items as SVG with a title and a description; letters stay as big whatever the size."""

    def fill(axes: Axes) -> None:
        _draw_frame(axes, min([-0.1, *(point.discrimination - 0.1 for point in points)]), colors)
        for marked, form, color in ((False, "o", colors.ink), (True, "s", colors.see)):
            places = [(point.difficulty, point.discrimination) for point in points if point.marked == marked]
            if places:
                axes.plot(*zip(*places, strict=True), form, color=color, clip_on=False, zorder=3)
        _draw_numbers(axes, points)

    return draw(TITLE, describe(points, not_drawn), colors, inches, fill)


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
