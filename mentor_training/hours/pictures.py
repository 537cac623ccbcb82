"""A section's hours against the requirement over the term, drawn as SVG."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mentor_training.hours.looking_ahead import View
from mentor_training.hours.rules import in_hours
from mentor_training.web.charts import BY_DAY, Colors, draw
from mentor_training.web.display import show_day, show_short_day

if TYPE_CHECKING:
    from matplotlib.axes import Axes

TITLE = "Approved hours toward the requirement, week by week"
DESK, PHONE = (8.2, 4.2), (3.8, 3.6)


def in_words(view: View) -> str:
    """Say what the picture shows, as its description."""
    if not view.weeks or view.course is None:
        return "Nobody has a requirement to meet yet."
    last, whole = view.weeks[-1], sum(view.course.required_minutes.values())
    until = f" It is to be met by {show_day(view.span.last_day)}." if view.span.last_day else ""
    return (
        f"Of {in_hours(whole)} h that {view.course.code} requires, the lowest of {len(view.standings)} had "
        f"{in_hours(last.lowest)} h approved on {show_day(last.last_day)}, the middle one {in_hours(last.middle)} h, "
        f"the highest {in_hours(last.highest)} h; {last.met} had met it.{until}"
    )


def draw_toward(view: View, colors: Colors = BY_DAY, narrow: bool = False) -> bytes:
    """Draw the lowest, the middle and the highest of a section at the end of each week, and what is required.

    Each line has its name beside its end, so that no color is needed; dashed is an even way to the last day.
    """
    whole = sum(view.course.required_minutes.values()) / 60 if view.course else 0

    def fill(axes: Axes) -> None:
        days = [one.last_day.toordinal() for one in view.weeks]
        lines = [[getattr(one, name) / 60 for one in view.weeks] for name in ("lowest", "middle", "highest")]
        _required(axes, view, whole, colors)
        if days:
            axes.fill_between(days, lines[0], lines[2], color=colors.rule, alpha=0.6, linewidth=0)
            for hours, name, width in zip(lines, ("lowest", "middle", "highest"), (1.2, 2.6, 1.2), strict=True):
                axes.plot(days, hours, color=colors.ink, linewidth=width, marker="o", markersize=3)
                axes.annotate(name, (days[-1], hours[-1]), (6, 0), textcoords="offset points", va="center", fontsize=9)
        _frame(axes, view, whole, narrow)

    return draw(TITLE, in_words(view), colors, PHONE if narrow else DESK, fill)


def _required(axes: Axes, view: View, whole: float, colors: Colors) -> None:
    axes.axhline(whole, color=colors.see, linewidth=1.4)
    first = view.span.first_day.toordinal()
    axes.annotate(f"required {whole:g} h", (first, whole), (2, 4), textcoords="offset points", color=colors.see)
    if view.span.last_day:
        last = view.span.last_day.toordinal()
        axes.plot([first, last], [0, whole], color=colors.quiet, linewidth=1, linestyle="--")


def _frame(axes: Axes, view: View, whole: float, narrow: bool) -> None:
    first = view.span.first_day.toordinal()
    last = (view.span.last_day or view.on).toordinal()
    axes.set_xlim(first, max(last, first + 7) + (last - first) * 0.06)
    axes.set_ylim(0, max(whole, 1) * 1.12)
    step = max(7, -(-(last - first) // (4 if narrow else 8) // 7) * 7)
    days = range(first, last + 1, step)
    axes.set_xticks(list(days), [show_short_day(view.span.first_day.fromordinal(day)) for day in days], fontsize=9)
    axes.set_ylabel("Hours")
    axes.spines[["top", "right"]].set_visible(False)
