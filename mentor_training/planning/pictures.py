"""Coverage of the coming sessions drawn by block and station, as SVG."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from mentor_training.planning.coverage import PLANNED, STATES, BlockCoverage, SessionCoverage, in_words
from mentor_training.web.charts import BY_DAY, Colors, Size, draw
from mentor_training.web.display import show_short_day, show_time

if TYPE_CHECKING:
    from matplotlib.axes import Axes

TITLE = "Coverage of the coming sessions by block and station"
DESK_WIDTH, PHONE_WIDTH, ROW, REST = 8.2, 3.8, 0.3, 1.1

Rows = list[tuple[SessionCoverage, BlockCoverage]]


def draw_coverage(
    found: Sequence[SessionCoverage], stations: Sequence[str], colors: Colors = BY_DAY, narrow: bool = False
) -> bytes:
    """Draw sessions as SVG: a row for each block, a column for each station, and last who is not covered, hatched.

    The longest bar is the largest number of the picture; each has its number beside it, so that no color is needed.
    """
    rows: Rows = [(one, block) for one in found for block in one.blocks]
    most = max((count for _, block in rows for count in (*block.at.values(), block.lacking)), default=1)

    def fill(axes: Axes) -> None:
        _frame(axes, rows, len(stations), colors)
        for place, (one, block) in enumerate(rows):
            if one.state == PLANNED:
                for column, slug in enumerate(stations):
                    _bar(axes, (column, place), (block.at.get(slug, 0), most), colors.ink)
                _bar(axes, (len(stations), place), (block.lacking, most), colors.see, hatch="////")
            else:
                axes.text(0.05, place, STATES[one.state].capitalize(), color=colors.see, va="center", fontsize=10)

    return draw(TITLE, in_words(found), colors, _inches(len(rows), narrow), fill)


def _inches(rows: int, narrow: bool) -> Size:
    return (PHONE_WIDTH if narrow else DESK_WIDTH, REST + ROW * max(rows, 1))


def _frame(axes: Axes, rows: Rows, columns: int, colors: Colors) -> None:
    """Name the rows by day and time, the columns by the numbers that the table gives them."""
    axes.set_xlim(0, columns + 1)
    axes.set_ylim(max(len(rows), 1) - 0.5, -0.5)
    axes.set_xticks([place + 0.4 for place in range(columns + 1)], [*map(str, range(1, columns + 1)), "open"])
    axes.xaxis.tick_top()
    axes.set_xlabel("Stations by number")
    axes.xaxis.set_label_position("top")
    axes.set_yticks(range(len(rows)), [_row_name(one, block) for one, block in rows])
    axes.tick_params(length=0)
    axes.spines[:].set_visible(False)
    for place, (_, block) in enumerate(rows):
        if place and block.block.number == 1:
            axes.axhline(place - 0.5, color=colors.quiet, linewidth=1)


def _row_name(one: SessionCoverage, block: BlockCoverage) -> str:
    day = f"{show_short_day(one.session.day)}, " if block is one.blocks[0] else ""
    return f"{day}{show_time(block.block.starts)}"


def _bar(axes: Axes, at: tuple[int, int], share: tuple[int, int], color: str, hatch: str = "") -> None:
    (column, place), (count, most) = at, share
    length = 0.6 * count / max(most, 1)
    if count:
        fill = "none" if hatch else color
        axes.barh(place, length, 0.6, left=column + 0.02, color=fill, edgecolor=color, hatch=hatch or None)
    axes.annotate(
        str(count), (column + 0.02 + length, place), (3, 0), textcoords="offset points", va="center", fontsize=10
    )
