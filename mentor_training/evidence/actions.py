"""Recording evidence: a row and its journal entry, in one transaction."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import fields
from datetime import date, datetime
from itertools import islice

from sqlalchemy import insert
from sqlalchemy.orm import Session

from mentor_training.database.base import table_of
from mentor_training.database.session import run
from mentor_training.errors import Refused
from mentor_training.evidence.facts import HOURS, Fact, record_faults
from mentor_training.evidence.numbering import name_of, number_after
from mentor_training.evidence.queries import last_number, record_for
from mentor_training.evidence.tables import Record
from mentor_training.journal.actions import take_turn, write, write_all
from mentor_training.journal.chain import digest

AT_ONCE = 5000
MOVED_IN = "register-moved-in"
COLUMNS = tuple(field.name for field in fields(Fact))
_INSERT = insert(table_of(Record))


def record(
    db: Session,
    at: datetime,
    by: str,
    person: str,
    kind: str,
    item: str,
    first_day: date,
    last_day: date | None = None,
    refers_to: str | None = None,
    note: str = "",
) -> Fact:
    """Record one piece of evidence about a volunteer; nothing recorded is ever changed, another record corrects it.

    The journal holds the note's hash and not the note, so that free text about a person can be erased.
    """
    take_turn(db)
    refusals = record_faults(kind, item, first_day, last_day, note, refers_to)
    if refers_to:
        about = record_for(db, refers_to)
        if about.person != person:
            refusals = (*refusals, f"Record {refers_to} is about {about.person}, not about {person}.")
    if refusals:
        raise Refused(*refusals)
    number = number_after(last_number(db))
    fact = Fact(name_of(number), person, kind, item, first_day, last_day, at, by, refers_to, note)
    run(db, _INSERT, _columns(number, fact))
    write(db, at, by, kind, person, _for_journal(fact))
    return fact


def record_all(
    db: Session, at: datetime, by: str, numbered: Iterable[tuple[int, Fact]], stored: Callable[[int], object]
) -> None:
    """Record facts under the numbers and names they bring, each with its journal entry; whoever is named in
    `recorded_by`, the journal says who brought them.

    The caller has asked the rules; a record that another one is about comes before it. `stored` is told how many are.
    """
    take_turn(db)
    for piece in _pieces(numbered):
        _insert(db, piece)
        write_all(db, at, by, ((fact.kind, fact.person, _for_journal(fact, by)) for _, fact in piece))
        stored(len(piece))


def move_in(
    db: Session, at: datetime, by: str, numbered: Iterable[tuple[int, Fact]], told: Mapping[str, str | int | bool],
    stored: Callable[[int], object],
) -> None:  # fmt: skip
    """Record, while there is no evidence yet, what was recorded elsewhere, with the moments it was recorded at then.

    One journal entry says that it was a move-in; `told` is what it tells. Otherwise as `record_all`.
    """
    take_turn(db)
    if last_number(db):
        raise Refused("There are records already; what was recorded elsewhere comes in only before the first one.")
    for piece in _pieces(numbered):
        _insert(db, piece)
        stored(len(piece))
    write(db, at, by, MOVED_IN, "register", told)


def _pieces(numbered: Iterable[tuple[int, Fact]]) -> Iterator[list[tuple[int, Fact]]]:
    left = iter(numbered)
    while piece := list(islice(left, AT_ONCE)):
        yield piece


def _insert(db: Session, piece: list[tuple[int, Fact]]) -> None:
    """Store rows in the order in which they come, in one go."""
    faults = (
        fault
        for _, fact in piece
        for fault in record_faults(fact.kind, fact.item, fact.first_day, fact.last_day, fact.note, fact.refers_to)
    )
    if fault := next(faults, None):
        raise Refused(fault)
    run(db, _INSERT, [_columns(number, fact) for number, fact in piece])


def _columns(number: int, fact: Fact) -> dict[str, object]:
    return {"number": number, **{name: getattr(fact, name) for name in COLUMNS}}


def _for_journal(row: Fact, by: str = "") -> dict[str, str | None]:
    told = {
        "record": row.code,
        "item": row.item,
        "first_day": row.first_day.isoformat(),
        "last_day": row.last_day.isoformat() if row.last_day else None,
        "refers_to": row.refers_to,
        "note": row.note if row.kind == HOURS or not row.note else "sha256:" + digest(row.note),
    }
    return {**told, "recorded_by": row.recorded_by} if by and row.recorded_by != by else told
