"""The lines of a statement: each entry, and each correction as a line of its own, as one CSV; pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, tzinfo

from mentor_training.csv_form import Cells, as_typed, each_row, safe_text, write_quoted
from mentor_training.hours.rules import Entry

LINE_COLUMNS = (
    "statement", "entry", "volunteer", "name", "category", "day", "kind", "about", "came", "left", "minutes",
    "corrects", "corrects_on", "reason", "approved_by",
)  # fmt: skip
Cell = str | int


@dataclass(frozen=True)
class Line:
    """One line as it was frozen. `corrects_on` is the statement on which what it corrects stands."""

    entry: int
    person: str
    name: str
    category: str
    day: date
    kind: str
    about: str
    came: str
    left: str
    minutes: int
    corrects: int | None
    corrects_on: str
    reason: str
    approved_by: str


def rows_of(
    number: str, entries: Iterable[Entry], names: Mapping[str, str], stated_on: Mapping[int, str], zone: tzinfo
) -> Iterator[tuple[Cell, ...]]:
    """Yield the cells of each line; `stated_on` names for an entry the statement on which it stands already.

    Only what a person may have typed is made safe for spreadsheets: codes, days and figures cannot be formulas. What a
    correction of this very statement corrects stands on this statement too. Clock times are those of `zone`.
    """
    safe = {code: safe_text(name) for code, name in names.items()}
    for one in entries:
        corrects_on = stated_on.get(one.corrects, number) if one.corrects else ""
        yield (
            number, one.id, one.person, safe.get(one.person, one.person), one.category, one.day.isoformat(),
            one.source, safe_text(one.about), _clock(one.came, zone), _clock(one.left, zone), one.minutes,
            one.corrects or "", corrects_on, safe_text(one.reason), one.approved_by,
        )  # fmt: skip


def pieces_of(rows: Iterable[tuple[Cell, ...]]) -> Iterator[str]:
    """Write the lines by RFC 4180 in pieces of a thousand, the head in the first."""
    return write_quoted(LINE_COLUMNS, rows)


def lines_in(piece: str, first: bool) -> Iterator[Line]:
    """Read the lines back from a piece; every piece but the `first` has no head."""
    head = "" if first else ",".join(LINE_COLUMNS) + "\r\n"
    for row in each_row(head + piece, LINE_COLUMNS):
        if isinstance(row, Cells):
            yield _line(row.cells)


def _line(cells: Mapping[str, str]) -> Line:
    return Line(
        int(cells["entry"]), cells["volunteer"], as_typed(cells["name"]), cells["category"],
        date.fromisoformat(cells["day"]), cells["kind"], as_typed(cells["about"]), cells["came"], cells["left"],
        int(cells["minutes"]), int(cells["corrects"]) if cells["corrects"] else None, cells["corrects_on"],
        as_typed(cells["reason"]), cells["approved_by"],
    )  # fmt: skip


def _clock(moment: datetime | None, zone: tzinfo) -> str:
    return moment.astimezone(zone).isoformat(timespec="minutes") if moment else ""
