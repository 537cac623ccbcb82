"""A session's floor on paper: the whole of it on one sheet, and a page for each station."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, tzinfo

from mentor_training.planning.queries.board import Row
from mentor_training.planning.queries.printing import Shown
from mentor_training.web.display import show_day, show_moment
from mentor_training.web.pdf import fill, render_pdf


@dataclass(frozen=True)
class Made:
    """What every print says of itself: whose it is, the moment it shows, and where the journal stood."""

    program: str
    place: str
    at: datetime
    zone: tzinfo
    journal_head: str

    def state_of(self, shown: Shown) -> str:
        """Say whether a floor is a plan, which may change, or as it ran."""
        if shown.closed_at:
            return f"As it ran; closed {show_moment(shown.closed_at, self.zone)}."
        return f"As planned {show_moment(self.at, self.zone)}; the plan may have changed since."


def floor_pdf(shown: Shown, made: Made, size: str = "letter") -> bytes:
    """Return the whole floor on one sheet across; a floor that needs more goes on with its heads repeated."""
    title = f"Floor of {shown.session.title}, {show_day(shown.session.day)}"
    body = fill("planning/_floor_print.html", shown=shown, made=made, title=title, when=show_moment(made.at, made.zone))
    sheets = ("pdf.css", "floor-sheet.css", "floor-across.css")
    return render_pdf(body, title, sheets if size == "letter" else (*sheets, "floor-across-a4.css"))


def stations_pdf(shown: Shown, rows: Sequence[Row], made: Made, size: str = "letter") -> bytes:
    """Return stations of a floor, a page each."""
    body = fill(
        "planning/_stations_print.html", shown=shown, rows=rows, made=made, when=show_moment(made.at, made.zone)
    )
    what = f"Station pages of {shown.session.title}, {show_day(shown.session.day)}"
    sheets = ("pdf.css", "floor-sheet.css", "station-page.css")
    return render_pdf(body, what, sheets if size == "letter" else (*sheets, "a4.css"))
