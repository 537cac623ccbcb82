"""The form of register.csv: what is read from a row, and every finding by row and column."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from mentor_training.evidence.facts import HOURS, KINDS, READ_CARD, Fact, record_faults
from mentor_training.register.form import COLUMNS, MOST_LOOKED_FOR, Known, Row, read_register, written
from tests.builders import NOON
from tests.register.files import BINDER, cells_of, rows, with_cell

SKILLS, PAPERS = (
    frozenset({"skill/guarding", "skill/leading"}),
    frozenset({"paper/background-check", "paper/photo-choice"}),
)
MODULES, SCOPES = frozenset({"module/safety"}), frozenset({"", "balance-lane", "activity/standing"})
KNOWN = Known(
    frozenset({"v-001", "v-002"}),
    {
        "completed": MODULES, "signed-off": SKILLS, "met": SKILLS, "practiced": SKILLS, "on-file": PAPERS,
        "waived": MODULES | SKILLS | PAPERS, "stood-down": SCOPES, "restricted": SCOPES,
        HOURS: frozenset({"direct", "training"}), READ_CARD: frozenset({"card/p-01@1", "card/p-01@2"}),
    },
)  # fmt: skip
GOOD = "b-1,v-001,completed,module/safety@1,2026-01-06,,2026-01-06T15:00:00Z,binder,,"
HOURS_ROW = "b-1,v-001,hours,direct,2026-01-06,,2026-01-06T15:00:00Z,binder,,90"

# What is written into which cell of a good row; which column the finding names, and a part of what it says.
FINDINGS = [
    ("record", "two words", "record", "no name of a record"),
    ("record", "b/1", "record", "letters, digits and . _ - @"),
    ("record", "b" * 81, "record", "at most 80"),
    ("record", "r-1000000000", "record", "goes up to r-999999999"),
    ("person", "", "person", "it is empty"),
    ("person", "v-01", "person", "did you mean `v-001`?"),
    ("kind", "", "kind", "it is empty"),
    ("kind", "complete", "kind", "did you mean `completed`?"),
    ("kind", "zzz", "kind", "there are completed, signed-off"),
    ("kind", "Completed", "kind", "did you mean `completed`?"),
    ("item", "", "item", "write module/SLUG, or module/SLUG@EDITION"),
    ("item", "safety", "item", "did you mean `module/safety`?"),
    ("item", "module/safty@2", "item", "did you mean `module/safety`?"),
    ("item", "module/quite-another", "item", "there is only `module/safety`"),
    ("item", "module/safety@0", "item", "no item of a completed record"),
    ("item", "skill/guarding", "item", "no item of a completed record"),
    ("item", "module/" + "a" * 80, "item", "80 are the most"),
    ("first_day", "", "first_day", "no day"),
    ("first_day", "2026-02-30", "first_day", "a day that exists"),
    ("first_day", "6 January 2026", "first_day", "YYYY-MM-DD"),
    ("first_day", "1026-01-06", "first_day", "from 1900-01-01 through 2199-12-31"),
    ("last_day", "2026-13-01", "last_day", "a day that exists"),
    ("last_day", "2026-01-05", "last_day", "before it begins"),
    ("last_day", "9999-12-31", "last_day", "no day of this program"),
    ("recorded_at", "2026-01-06T15:00:00", "recorded_at", "no time zone"),
    ("recorded_at", "2026-01-06", "recorded_at", "no moment"),
    ("recorded_at", "yesterday", "recorded_at", "such as 2026-10-16T18:00:00Z"),
    ("recorded_at", "2026-02-30T15:00:00Z", "recorded_at", "no moment"),
    ("recorded_at", "2026-01-06T15:00:00.0000001Z", "recorded_at", "no moment"),
    ("recorded_at", "2026-10-16T16:00:00.000001Z", "recorded_at", "still ahead"),
    ("recorded_at", "2026-10-16T12:30:00-04:00", "recorded_at", "still ahead"),
    ("recorded_at", "0001-01-01T00:00:00+14:00", "recorded_at", "no moment of this program"),
    ("recorded_at", "9999-12-31T23:59:59-14:00", "recorded_at", "no moment of this program"),
    ("recorded_by", "", "recorded_by", "say who recorded it then"),
    ("recorded_by", "x" * 81, "recorded_by", "80 characters on one line"),
    ("recorded_by", "two\nlines", "recorded_by", "80 characters on one line"),
    ("refers_to", "b-2", "refers_to", "is about no other"),
    ("note", "bell\0", "note", "cannot be stored (NUL)"),
]  # fmt: skip

# Whole rows, for what depends on the kind.
ROWS = [
    ("b-1,v-001,signed-off,skill/gaurding,2026-01-06,,,,,", "item", "did you mean `skill/guarding`?"),
    ("b-1,v-001,met,guarding,2026-01-06,,,,,", "item", "did you mean `skill/guarding`?"),
    ("b-1,v-001,practiced,skill/juggling-knives,2026-01-06,,,,,", "item", "known are `skill/guarding`"),
    ("b-1,v-001,on-file,paper/cpr,2026-01-06,,,,,", "item", "unknown"),
    ("b-1,v-001,waived,photo-choice,2026-01-06,,,,,", "item", "did you mean `paper/photo-choice`?"),
    ("b-1,v-001,stood-down,balance-line,2026-01-06,,,,,", "item", "did you mean `balance-lane`?"),
    ("b-1,v-001,restricted,activity/standig,2026-01-06,,,,,", "item", "did you mean `activity/standing`?"),
    ("b-1,v-001,restricted,Balance lane,2026-01-06,,,,,", "item", "no item of a restricted record"),
    ("b-1,v-001,hours,directly,2026-01-06,,,,,90", "item", "did you mean `direct`?"),
    ("b-1,v-001,read-card,card/p-01@3,2026-01-06,,,,,", "item", "did you mean `card/p-01@"),
    ("b-1,v-001,read-card,card/p-09@1,2026-01-06,,,,,", "item", "did you mean `card/p-01@1`?"),
    ("b-1,v-001,read-card,p-01,2026-01-06,,,,,", "item", "write card/PARTICIPANT@VERSION"),
    ("b-1,v-001,attended,,2026-01-06,,,,,", "item", "write the code of the session"),
    ("b-1,v-001,hours,direct,2026-01-06,,,,,", "note", "whole minutes"),
    ("b-1,v-001,hours,direct,2026-01-06,,,,,1.5", "note", "whole minutes"),
    ("b-1,v-001,hours,direct,2026-01-06,,,,,1:30", "note", "whole minutes"),
    ("b-1,v-001,hours,direct,2026-01-06,,,,,1000000", "note", "whole minutes"),
    ("b-1,v-001,withdrawn,,2026-01-06,,,,,", "refers_to", "names the record that it is about"),
    ("b-1,v-001,voided,,2026-01-06,,,,,", "refers_to", "names the record that it is about"),
    ("b-1,v-001,lifted,,2026-01-06,,,,,", "refers_to", "names the record that it is about"),
]


def findings(text: str) -> list[tuple[int, str, str]]:
    return [(one.row, one.column, str(one)) for one in read_register(text, KNOWN, NOON).problems]


@pytest.mark.parametrize(("cell", "value", "column", "said"), FINDINGS)
def test_each_cell_that_cannot_be_is_told_by_row_and_column(cell: str, value: str, column: str, said: str) -> None:
    """One wrong cell in an otherwise good row is one finding, which says what would be right."""
    found = findings(rows(with_cell(GOOD, cell, value)))
    assert [(row, where) for row, where, _ in found] == [(2, column)]
    assert said in found[0][2]


@pytest.mark.parametrize(("line", "column", "said"), ROWS)
def test_each_kind_asks_for_its_own_item_and_note(line: str, column: str, said: str) -> None:
    """What no known edition has is told with the nearest name it may have meant."""
    found = findings(rows(line))
    assert [(row, where) for row, where, _ in found] == [(2, column)]
    assert said in found[0][2]


def test_a_good_row_has_no_finding() -> None:
    """Otherwise the tables above would prove nothing."""
    assert findings(rows(GOOD)) == []
    assert findings(rows(HOURS_ROW)) == []


def test_a_row_is_read_as_it_is_written() -> None:
    """Days as days, the moment in UTC whatever its zone, blanks and line ends of a note kept."""
    text = rows(
        'x,v-001,on-file,paper/background-check,2026-01-06,2027-01-05,2026-01-06 10:00:00.5-05:00,binder,," a\r\nb "'
    )
    moment = datetime(2026, 1, 6, 15, 0, 0, 500000, UTC)
    first, last = date(2026, 1, 6), date(2027, 1, 5)
    row = Row(2, "x", "v-001", "on-file", "paper/background-check", first, last, moment, "binder", "", " a\r\nb ")
    assert read_register(text, KNOWN, NOON).rows == [row]


def test_the_edition_of_a_completed_module_is_kept_as_written() -> None:
    """With it, without it, and of an edition from before this program's first: all are completions of the module."""
    lines = ("a,v-001,completed,module/safety,2026-01-06,,,,,", "b,v-001,completed,module/safety@7,2026-01-06,,,,,")
    reading = read_register(rows(*lines), KNOWN, NOON)
    assert ([row.item for row in reading.rows], reading.problems) == (["module/safety", "module/safety@7"], [])


def test_a_session_need_not_be_known_to_have_been_attended() -> None:
    """The sessions of a term that was before the program moved in are nowhere else."""
    assert findings(rows("a,v-001,attended,spring-01,2026-01-06,,,,,")) == []


def test_two_records_with_one_name_are_told_with_both_rows() -> None:
    """Also where they say the same, and where one of them has another fault; names differ by case."""
    text = rows(GOOD, GOOD, with_cell(GOOD, "kind", "x"), with_cell(GOOD, "record", "B-1"))
    found = [one for one in findings(text) if one[1] == "record"]
    assert [row for row, _, _ in found] == [3, 4]
    assert all("'b-1' stands in row 2 too" in said for _, _, said in found)


def test_every_finding_of_a_file_is_told_at_once() -> None:
    """A file with five faults in two rows is mended in one go."""
    text = rows("b-0,v-009,met,skill/x,2026-02-30,,,,,", GOOD, "b-2,v-001,withdrawn,,2026-01-06,2026-01-05,,,,")
    assert [(row, column) for row, column, _ in findings(text)] == [
        (2, "person"), (2, "item"), (2, "first_day"), (4, "last_day"), (4, "refers_to"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "row 1: the file is empty; the first row is record,person,kind"),
        ("record,person\r\n", "row 1, column kind: this column is missing"),
        (rows(GOOD).replace("note", "remark", 1), "row 1, column remark: this column is unknown"),
        (rows(GOOD + ",more"), "row 2: it has 11 cells, the header 10"),
        (rows(GOOD, '"b-2,v-001'), "this is not CSV"),
    ],
)
def test_what_is_no_register_is_told_as_such(text: str, said: str) -> None:
    """An empty file, another header, a row too long, a quote that never ends."""
    assert any(said in one for _, _, one in findings(text))


def test_columns_come_in_any_order_and_with_a_mark_of_utf_8_in_front() -> None:
    """Spreadsheets write the one and move the other."""
    header, line = list(COLUMNS), GOOD.split(",")
    text = "\ufeff" + ",".join(header[::-1]) + "\r\n" + ",".join(line[::-1]) + "\r\n"
    reading = read_register(text, KNOWN, NOON)
    assert (reading.problems, [row.record for row in reading.rows]) == ([], ["b-1"])


def test_a_file_in_which_every_row_is_wrong_is_told_without_end_but_not_looked_up_without_end() -> None:
    """The nearest name is looked for a limited number of times; afterwards a finding says only what is wrong."""
    text = rows(*(f"b-{one},v-{one:04},met,skill/guarding,2026-01-06,,,,," for one in range(MOST_LOOKED_FOR + 50)))
    said = [one for _, _, one in findings(text)]
    assert len(said) == MOST_LOOKED_FOR + 50
    assert "write one that is known" in said[-1]


def test_whatever_the_form_takes_the_store_takes() -> None:
    """The rules of a stored record find nothing wrong with a row that the form finds nothing wrong with."""
    reading = read_register(BINDER, Known(frozenset({"v-001", "v-002"}), KNOWN.items), NOON)
    assert reading.problems == []
    assert {row.kind for row in reading.rows} == set(KINDS)
    for row in reading.rows:
        assert record_faults(row.kind, row.item, row.first_day, row.last_day, row.note, row.refers_to or None) == ()


def test_a_record_is_written_with_its_moment_in_utc() -> None:
    """ISO 8601 with Z; fractions of a second only where there are some."""
    moment = datetime(2026, 1, 6, 15, 0, 0, 500000, UTC)
    first, last = date(2026, 1, 6), date(2027, 1, 5)
    fact = Fact("r-1", "v-001", "voided", "", first, last, moment, "c-01", "b-2", "why")
    said = (
        "r-1",
        "v-001",
        "voided",
        "",
        "2026-01-06",
        "2027-01-05",
        "2026-01-06T15:00:00.500000Z",
        "c-01",
        "b-2",
        "why",
    )
    assert written(fact) == said


def test_the_binder_of_these_tests_is_csv_to_the_standard_library_too() -> None:
    """So that tests compare with something that the form did not read."""
    assert [one["record"] for one in cells_of(BINDER)] == [f"b-{number:02}" for number in range(1, 16)]
