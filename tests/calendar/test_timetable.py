"""The form of sessions.csv: every finding by row and column."""

from __future__ import annotations

from datetime import date, time

from mentor_training.calendar.rules import SessionFact, write_blocks
from mentor_training.calendar.timetable import COLUMNS, Known, as_row, read_sessions
from mentor_training.csv_form import write_rows

KNOWN = Known(
    frozenset({"balance-lane", "target-games"}), frozenset({"p-01", "p-02"}), frozenset({"v-001", "v-002"}),
    frozenset({"o-01"}),
)  # fmt: skip
HEAD = ",".join(COLUMNS) + "\n"
ROW = "s-11,Week 6,2026-10-17,09:30,11:15,09:50-10:02;10:05-10:17,balance-lane,p-02;p-01,v-001,o-01\n"


def test_a_session_is_read_whole() -> None:
    """The documented form."""
    (found,), problems = read_sessions(HEAD + ROW, KNOWN)
    assert problems == []
    assert write_blocks(found.blocks) == "09:50-10:02;10:05-10:17"
    assert (found.code, found.day, found.starts, found.participants) == (
        "s-11", date(2026, 10, 17), time(9, 30), ("p-02", "p-01"),
    )  # fmt: skip


def test_a_row_written_is_the_row_read() -> None:
    """In and out are the same form."""
    (found,), _ = read_sessions(HEAD + ROW, KNOWN)
    again, problems = read_sessions(write_rows(COLUMNS, [as_row(found)]), KNOWN)
    assert (again, problems) == ([found], [])


def test_every_finding_names_row_and_column() -> None:
    """Unknown codes with the nearest known one, days and times that do not exist, blocks that overlap, a row twice."""
    text = (
        HEAD
        + "s-11,,2026-02-30,9:30,11:15,2,balance-line,p-07,o-01,v-001\n"
        + "s-12,Week 6,2026-10-20,17:00,16:00,1,,,,\n"
        + "s-13,Week 7,2026-10-24,09:30,11:15,half,,,,\n"
        + "s-13,Week 7,2026-10-24,09:30,11:15,09:50-10:05;10:02-10:17,,,,\n"
    )
    found, problems = read_sessions(text, KNOWN)
    assert found == []
    assert [(one.row, one.column) for one in problems] == [
        (2, "title"), (2, "day"), (2, "starts"), (2, "stations"), (2, "participants"), (2, "volunteers"),
        (2, "observers"), (3, "ends"), (3, "blocks"), (4, "blocks"), (5, "session"), (5, "blocks"),
    ]  # fmt: skip
    assert "did you mean balance-lane?" in str(problems[3])


def test_stations_are_not_checked_before_a_program_is_published() -> None:
    """Nobody knows yet which stations there will be."""
    known = Known(None, KNOWN.participants, KNOWN.volunteers, KNOWN.observers)
    found, problems = read_sessions(HEAD + ROW.replace("balance-lane", "anywhere"), known)
    assert problems == []
    assert isinstance(found[0], SessionFact)
