"""What a register's rows are beside the records there are: new, there already, or not to be taken in; pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, fields
from datetime import datetime

from mentor_training.csv_form import Problem
from mentor_training.evidence.facts import LIFTED, RESTRICTED, STOOD_DOWN, Fact
from mentor_training.evidence.numbering import name_of, number_after
from mentor_training.register.form import NAME, Reading, Row

SAID = ("person", "kind", "item", "first_day", "last_day", "refers_to", "note")


@dataclass(frozen=True)
class Intake:
    """What taking a file in would do: the new rows in their order, how many are there already, and what is wrong.

    A file taken into an empty register is a move-in.
    """

    new: tuple[Row, ...]
    there: int
    problems: tuple[Problem, ...]
    is_move_in: bool

    @property
    def kinds(self) -> Mapping[str, int]:
        """Return how many of the new rows are of which kind, the most frequent first."""
        return dict(Counter(row.kind for row in self.new).most_common())

    @property
    def people(self) -> int:
        """Return how many people the new rows are about."""
        return len({row.person for row in self.new})

    def recorded(self, at: datetime) -> tuple[datetime, datetime]:
        """Return when the first and the last of the new rows were recorded; with no moment of their own, `at`."""
        moments = {row.recorded_at or at for row in self.new} or {at}
        return min(moments), max(moments)


def names_used(reading: Reading) -> set[str]:
    """Return every name of a record that a file gives or refers to, and that a record can have."""
    names = reading.names.keys() | {row.refers_to for row in reading.rows}
    return {name for name in names if NAME.fullmatch(name)}


def people_of_nameless(reading: Reading) -> set[str]:
    """Return whom the rows without a name are about: their records may say the same."""
    return {row.person for row in reading.rows if not row.record and row.number not in reading.wrong}


def sort_out(reading: Reading, stored: Mapping[str, Fact], twins: Iterable[Fact], is_empty: bool) -> Intake:
    """Say what taking a file in would do to the register.

    `stored` are the records that the file names or refers to; `twins` those which rows without a name may stand for.
    A row that says what a stored record says is there already. Past moments come into an empty register only. Nothing
    is new where anything is wrong. Rules of this program.
    """
    nameless = _Twins(fact for fact in twins if fact.code not in reading.names)
    new: list[Row] = []
    problems = list(reading.problems)
    for row in (one for one in reading.rows if one.number not in reading.wrong):
        same = stored.get(row.record) if row.record else nameless.take(row)
        found = _differences(row, same) if same else _faults_of_new(row, is_empty)
        problems += found
        if not (same or found):
            new.append(row)
    problems += _wrong_references(reading, stored)
    there = len(reading.rows) - len(new)
    in_order = tuple(sorted(problems, key=lambda one: one.row))
    return Intake((), 0, in_order, is_empty) if problems else Intake(tuple(new), there, (), is_empty)


class _Twins:
    """Finds, for rows without a name, records that say the same, each once."""

    def __init__(self, facts: Iterable[Fact]) -> None:
        self._left: dict[tuple[object, ...], list[Fact]] = {}
        for fact in facts:
            self._left.setdefault(_said(fact), []).append(fact)

    def take(self, row: Row) -> Fact | None:
        left = self._left.get(_said(row), [])
        same = next((fact for fact in left if not _stamp_differs(row, fact)), None)
        if same:
            left.remove(same)
        return same


def _said(one: Row | Fact) -> tuple[object, ...]:
    return tuple(getattr(one, name) or None for name in SAID)


def _stamp_differs(row: Row, fact: Fact) -> tuple[str, ...]:
    """Return which of the cells that say when it was recorded, and by whom, say otherwise; an empty one does not."""
    stamp = ("recorded_at", "recorded_by")
    return tuple(name for name in stamp if getattr(row, name) and getattr(row, name) != getattr(fact, name))


def _differences(row: Row, fact: Fact) -> list[Problem]:
    said = tuple(name for name in SAID if (getattr(row, name) or None) != (getattr(fact, name) or None))
    differing = (*said, *_stamp_differs(row, fact))
    what = f"record {row.record} is there already and says something else ({', '.join(differing)})"
    right = "a record never changes: give this one a name of its own, or correct the first by another"
    return [Problem(row.number, "record", what, right)] if differing else []


def _faults_of_new(row: Row, is_empty: bool) -> list[Problem]:
    if is_empty or not row.recorded_at:
        return []
    what = "a past recorded_at is taken only into an empty register, and this one holds records"
    return [Problem(row.number, "recorded_at", what, "leave it empty: the record is recorded now")]


def _wrong_references(reading: Reading, stored: Mapping[str, Fact]) -> Iterator[Problem]:
    by_name = {row.record: row for row in reversed(reading.rows) if row.record}
    for row in reading.rows:
        if row.refers_to:
            about = by_name.get(row.refers_to) or stored.get(row.refers_to)
            if about and not reading.wrong & {row.number, getattr(about, "number", 0)}:
                yield from _wrong_reference(row, about)
            elif not about:
                what = f"{row.refers_to!r} names no record of this file or of the register"
                yield Problem(row.number, "refers_to", what, "write the name of the record that it is about")
    for row, others in _cycles({name: row for name, row in by_name.items() if row.refers_to}):
        what = f"it is about itself{', by way of ' + ', '.join(others) if others else ''}"
        yield Problem(row.number, "refers_to", what, "a correction is about a record that it does not rest on")


def _wrong_reference(row: Row, about: Row | Fact) -> Iterator[Problem]:
    name = row.refers_to
    if about.person != row.person:
        what = f"record {name} is about {about.person}, not about {row.person}"
        yield Problem(row.number, "refers_to", what, "name a record of the same person")
    if row.kind == LIFTED and about.kind not in (STOOD_DOWN, RESTRICTED):
        what = f"record {name} is {about.kind}; only what is stood-down or restricted is lifted"
        yield Problem(row.number, "kind", what, "make the record withdrawn or voided")
    if row.item and row.item.partition("@")[0] != about.item.partition("@")[0]:
        what = f"record {name} is about {about.item or 'everything'!r}, not about {row.item!r}"
        yield Problem(row.number, "item", what, "refer to the record that is meant, or leave the item empty")


def _cycles(corrections: Mapping[str, Row]) -> Iterator[tuple[Row, list[str]]]:
    """Yield each correction that leads back to itself, with the names on the way. Each refers to one record."""
    looked_at: set[str] = set()
    for name in corrections:
        way: list[str] = []
        here, passed = name, set[str]()
        while here in corrections and here not in looked_at and here not in passed:
            way.append(here)
            passed.add(here)
            here = corrections[here].refers_to
        circle = way[way.index(here) :] if here in passed else []
        for place, one in enumerate(circle):
            yield corrections[one], circle[place + 1 :] + circle[:place]
        looked_at |= passed


def numbered(rows: Iterable[Row], last: int, taken: Iterable[str], at: datetime, by: str) -> Iterator[tuple[int, Fact]]:
    """Yield new rows as records to be stored, each with its number, in the order of the file.

    `last` is the newest number there is, `taken` are the names that the file gives. A row without a name is called by
    its number; without a moment it is recorded `at` this one; without somebody who recorded it, by who brings it.
    """
    names = set(taken)
    for row in rows:
        last = number_after(last, row.record)
        while not row.record and name_of(last) in names:
            last += 1
        yield last, _as_fact(row, row.record or name_of(last), at, by)


def _as_fact(row: Row, name: str, at: datetime, by: str) -> Fact:
    said = {field.name: getattr(row, field.name) for field in fields(Fact) if field.name in SAID}
    said["refers_to"] = row.refers_to or None
    return Fact(code=name, recorded_at=row.recorded_at or at, recorded_by=row.recorded_by or by, **said)


def referred_first(facts: Iterable[tuple[int, Fact]], referred: Iterable[str]) -> Iterator[tuple[int, Fact]]:
    """Yield numbered records so that each comes after the one it is about; otherwise in their order.

    `referred` are the names of those to come that others are about; what is about any other record waits for none.
    """
    to_come = set(referred)
    waiting: dict[str, list[tuple[int, Fact]]] = {}
    for number, fact in facts:
        if fact.refers_to in to_come:
            waiting.setdefault(fact.refers_to, []).append((number, fact))
            continue
        ready = [(number, fact)]
        while ready:
            one = ready.pop()
            yield one
            to_come.discard(one[1].code)
            ready += reversed(waiting.pop(one[1].code, []))
