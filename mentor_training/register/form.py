"""The form of register.csv: what a row may say, with every finding by row and column, and how it is written; pure."""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime

from mentor_training.csv_form import Cells, Problem, each_row
from mentor_training.evidence.facts import (
    ABOUT_ANOTHER,
    ATTENDED,
    COMPLETED,
    EARLIEST,
    HOURS,
    ITEM_FORMS,
    KINDS,
    LATEST,
    MET,
    ON_FILE,
    PRACTICED,
    READ_CARD,
    RESTRICTED,
    SIGNED_OFF,
    STOOD_DOWN,
    WAIVED,
    Fact,
)
from mentor_training.evidence.numbering import HIGHEST
from mentor_training.program.reading.findings import nearest

COLUMNS = (
    "record", "person", "kind", "item", "first_day", "last_day", "recorded_at", "recorded_by", "refers_to", "note",
)  # fmt: skip
LONGEST = 80
NAME = re.compile(rf"[A-Za-z0-9][A-Za-z0-9_.@-]{{0,{LONGEST - 1}}}")
LINE_OF_TEXT = re.compile(rf"[^\x00-\x1f\x7f]{{1,{LONGEST}}}")
MOMENT = re.compile(
    r"(\d{4})-\d\d-\d\d[T ]\d\d:\d\d(:\d\d(\.\d{1,6})?)?(Z|[+-]\d\d(:?\d\d)?)?", re.ASCII | re.IGNORECASE
)
HOW_A_MOMENT_IS_WRITTEN = "write day, time and zone, such as 2026-10-16T18:00:00Z"
ITEMS_IN_WORDS = {
    COMPLETED: "module/SLUG, or module/SLUG@EDITION",
    SIGNED_OFF: "skill/SLUG",
    MET: "skill/SLUG",
    ON_FILE: "paper/SLUG",
    WAIVED: "paper/SLUG, the item that is waived",
    PRACTICED: "skill/SLUG",
    STOOD_DOWN: "the slug of a station, activity/TAG, or nothing for all",
    RESTRICTED: "the slug of a station, activity/TAG, or nothing for all",
    HOURS: "the category of the hours",
    ATTENDED: "the code of the session",
    READ_CARD: "card/PARTICIPANT@VERSION",
}
# Looking for the nearest name takes a moment; a file in which every row is wrong must not take a day.
MOST_LOOKED_FOR = 200


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a file, counted from the header as 1; an empty name, moment or person where the cell is empty."""

    number: int
    record: str
    person: str
    kind: str
    item: str
    first_day: date
    last_day: date | None
    recorded_at: datetime | None
    recorded_by: str
    refers_to: str
    note: str


@dataclass(frozen=True)
class Known:
    """What rows may name: people, and for each kind its items (of a completed one without its edition).

    A kind that is not in `items` takes any item of its form.
    """

    people: frozenset[str]
    items: Mapping[str, frozenset[str]]


@dataclass
class Reading:
    """What was read: the rows, the numbers of those with something wrong in themselves, the row of each name, and what
    is wrong.
    """

    rows: list[Row] = field(default_factory=list)
    wrong: set[int] = field(default_factory=set)
    names: dict[str, int] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)


def read_register(text: str, known: Known, now: datetime) -> Reading:
    """Read a register row by row; what a row says about other records is looked at by the rules afterwards."""
    reading, nearby = Reading(), _Nearby(known)
    for cells in each_row(text, COLUMNS):
        if isinstance(cells, Problem):
            reading.problems.append(cells)
            continue
        reading.rows.append(_row(cells, known, nearby, now))
        _once(cells, reading.names)
        if cells.problems:
            reading.wrong.add(cells.number)
            reading.problems += cells.problems
    return reading


def written(fact: Fact) -> tuple[str, ...]:
    """Return a record as the cells of its row; read again, they say the same, and written again they look the same."""
    days = (fact.first_day.isoformat(), fact.last_day.isoformat() if fact.last_day else "")
    moment = fact.recorded_at.astimezone(UTC).replace(tzinfo=None).isoformat() + "Z"
    return (
        fact.code, fact.person, fact.kind, fact.item, *days, moment, fact.recorded_by, fact.refers_to or "", fact.note,
    )  # fmt: skip


class _Nearby:
    """Finds the nearest known name, each once, and not without end."""

    def __init__(self, known: Known) -> None:
        self._people = sorted(known.people)
        self._items = {kind: sorted(items - {""}) for kind, items in known.items.items()}
        self._found: dict[tuple[str, str], str] = {}

    def person(self, code: str) -> str:
        """Return what would be right instead of an unknown person."""
        return self._right("", code, self._people)

    def item(self, kind: str, item: str) -> str:
        """Return what would be right instead of an item that a kind of record cannot have."""
        right = self._right(kind, item, self._items.get(kind, []))
        is_of_the_form = re.fullmatch(ITEM_FORMS[kind], item)
        return right if is_of_the_form or right.startswith("did you mean") else f"write {ITEMS_IN_WORDS[kind]}"

    def _right(self, kind: str, name: str, known: list[str]) -> str:
        if (kind, name) not in self._found and len(self._found) < MOST_LOOKED_FOR:
            self._found[kind, name] = nearest(name[:LONGEST], known)
        return self._found.get((kind, name), "write one that is known")


def _row(cells: Cells, known: Known, nearby: _Nearby, now: datetime) -> Row:
    name, person = _name(cells), _person(cells, known, nearby)
    kind = _kind(cells)
    item = _item(cells, kind, known, nearby)
    first_day, last_day = _days(cells)
    moment, by = _recorded(cells, now)
    refers_to, note = _refers_to(cells, kind), _note(cells, kind)
    # A row without a readable day is never stored; what else it says is looked at all the same.
    return Row(cells.number, name, person, kind, item, first_day or EARLIEST, last_day, moment, by, refers_to, note)


def _name(cells: Cells) -> str:
    name = cells.text("record")
    if name and not NAME.fullmatch(name):
        cells.problem(
            "record", f"{name!r} is no name of a record", f"write at most {LONGEST} letters, digits and . _ - @"
        )
    own = re.fullmatch(r"r-(\d+)", name, re.ASCII)
    if own and int(own[1][:LONGEST]) > HIGHEST:
        cells.problem("record", f"{name!r} is too high a number", f"a name of this form goes up to r-{HIGHEST}")
    return name


def _once(cells: Cells, names: dict[str, int]) -> None:
    name = cells.text("record")
    if name and names.setdefault(name, cells.number) != cells.number:
        what = f"two records with one name: {name!r} stands in row {names[name]} too"
        cells.problem("record", what, "give each record a name of its own")


def _person(cells: Cells, known: Known, nearby: _Nearby) -> str:
    code = cells.needed("person")
    if code and code not in known.people:
        cells.problem("person", f"{code!r} is nobody's code", nearby.person(code))
    return code


def _kind(cells: Cells) -> str:
    kind = cells.needed("kind")
    if kind and kind not in KINDS:
        near = difflib.get_close_matches(kind[:LONGEST], KINDS, 1)
        right = f"did you mean `{near[0]}`?" if near else f"there are {', '.join(KINDS)}"
        cells.problem("kind", f"{kind!r} is no kind of record", right)
        return ""
    return kind


def _item(cells: Cells, kind: str, known: Known, nearby: _Nearby) -> str:
    item = cells.text("item")
    if len(item) > LONGEST:
        cells.problem("item", f"it has {len(item)} characters", f"{LONGEST} are the most")
    elif kind in ABOUT_ANOTHER or not kind:
        if item and not LINE_OF_TEXT.fullmatch(item):
            cells.problem("item", f"{item!r} is no item", "leave it empty; the record referred to has one")
    elif not re.fullmatch(ITEM_FORMS[kind], item):
        cells.problem("item", f"{item!r} is no item of a {kind} record", nearby.item(kind, item))
    elif kind in known.items and _base(kind, item) not in known.items[kind]:
        cells.problem("item", f"{item!r} is unknown", nearby.item(kind, _base(kind, item)))
    return item


def _base(kind: str, item: str) -> str:
    return item.partition("@")[0] if kind == COMPLETED else item


def _days(cells: Cells) -> tuple[date | None, date | None]:
    first, last = cells.day("first_day"), cells.day("last_day", optional=True)
    for column, day in (("first_day", first), ("last_day", last)):
        if day and not EARLIEST <= day <= LATEST:
            cells.problem(column, f"{day} is no day of this program", f"write one from {EARLIEST} through {LATEST}")
    if first and last and last < first:
        cells.problem("last_day", f"it would end on {last}, before it begins on {first}", "put the two days in order")
    return first, last


def _recorded(cells: Cells, now: datetime) -> tuple[datetime | None, str]:
    written_at, by = cells.text("recorded_at"), cells.text("recorded_by")
    if by and not LINE_OF_TEXT.fullmatch(by):
        cells.problem(
            "recorded_by", f"{by[:LONGEST]!r} names nobody", f"write at most {LONGEST} characters on one line"
        )
    if not written_at:
        return None, by
    if not by:
        cells.problem("recorded_by", "it is empty", "say who recorded it then, such as o-01 or binder")
    moment = _moment(cells, written_at)
    if moment and moment > now:
        cells.problem("recorded_at", f"{written_at} is still ahead", "write when it was recorded, or leave it empty")
    return moment, by


def _moment(cells: Cells, text: str) -> datetime | None:
    """Return a moment in UTC; one without a zone could be any of two dozen."""
    form = MOMENT.fullmatch(text)
    if form and not form[4]:
        cells.problem("recorded_at", f"{text!r} has no time zone", HOW_A_MOMENT_IS_WRITTEN)
        return None
    try:
        moment = datetime.fromisoformat(text.upper()) if form else None
    except ValueError:
        moment = None
    if moment is None:
        cells.problem("recorded_at", f"{text!r} is no moment", HOW_A_MOMENT_IS_WRITTEN)
    elif not EARLIEST.year < moment.year < LATEST.year:
        cells.problem("recorded_at", f"{text!r} is no moment of this program", HOW_A_MOMENT_IS_WRITTEN)
    else:
        return moment.astimezone(UTC)
    return None


def _refers_to(cells: Cells, kind: str) -> str:
    name = cells.text("refers_to")
    if kind in ABOUT_ANOTHER and not name:
        cells.problem("refers_to", "it is empty", f"a {kind} record names the record that it is about")
    if kind and kind not in ABOUT_ANOTHER and name:
        right = f"leave it empty, or make the record {', '.join(ABOUT_ANOTHER[:-1])} or {ABOUT_ANOTHER[-1]}"
        cells.problem("refers_to", f"a {kind} record is about no other", right)
    return name


def _note(cells: Cells, kind: str) -> str:
    """Return the note as it was written, blanks and line ends and all; of hours, their minutes."""
    note = cells.text("note") if kind == HOURS else cells.cells["note"]
    if kind == HOURS and not re.fullmatch(r"-?[0-9]{1,6}", note):
        right = "hours carry whole minutes as their note, such as 90"
        cells.problem("note", f"{note[:LONGEST]!r} is no number of minutes", right)
    if "\0" in note:
        cells.problem("note", "it holds a character that cannot be stored (NUL)", "take that character out")
    return note
