"""What this process keeps of everybody's evidence between requests: read once, and then only whom it changed about.

Nothing here is ever older than the session that asks. Records are only added, by ascending numbers, so that the number
of the newest says what is still to be read; and what was recorded after the moment asked about is left out again,
volunteer by volunteer. A session that writes sees what may yet be undone: it looks in here, and leaves nothing behind.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.clearance.dossier import Dossier
from mentor_training.clearance.everybody import Everybody
from mentor_training.clearance.sheaves import Sheaves
from mentor_training.clearance.tracks import without_collecting
from mentor_training.evidence.facts import Fact
from mentor_training.evidence.queries import facts_about, facts_by_person, numbered_after, recorded_after, said_by_all
from mentor_training.evidence.tables import Record
from mentor_training.program.editions import PublishedProgram

PLACE = "clearance"
EVER = datetime.max.replace(tzinfo=UTC)
FEW = 50  # so many volunteers are read one by one in any program; in a large one a tenth of them

Editions = tuple[PublishedProgram, ...]
Dossiers = Mapping[str, Dossier]
Newest = tuple[int, str, datetime]


@dataclass(frozen=True)
class Memory:
    """All evidence through the newest record, under the editions of a moment; each part read when it is asked for."""

    newest: Newest | None
    editions: Editions
    everybody: Everybody | None = None
    dossiers: Dossiers | None = None


def everybody_known(db: Session, editions: Editions, known_at: datetime, people: Iterable[str]) -> Everybody:
    """Return everybody's tracks as known at a moment, with a place for each of these people."""
    asked = tuple(people)
    memory = _up_to_date(db, editions)
    later = recorded_after(db, known_at)
    if later and (memory.everybody is None or _are_many(later, memory.everybody.size)):
        return _read_tracks(db, known_at, memory.editions, asked)
    kept = (memory.everybody or _read_tracks(db, EVER, memory.editions, asked)).with_people(asked)
    _keep(db, replace(memory, everybody=kept))
    return kept.with_dossiers(_read(db, later, known_at, memory.editions))


def dossiers_known(db: Session, editions: Editions, known_at: datetime) -> Dossiers:
    """Return everybody's dossiers as known at a moment; who has no record may not be among them."""
    memory = _up_to_date(db, editions)
    later = recorded_after(db, known_at)
    if later and (memory.dossiers is None or _are_many(later, len(memory.dossiers))):
        return _read_all(db, known_at, memory.editions)
    kept = _read_all(db, EVER, memory.editions) if memory.dossiers is None else memory.dossiers
    _keep(db, replace(memory, dossiers=kept))
    return {**kept, **_read(db, later, known_at, memory.editions)} if later else kept


def _up_to_date(db: Session, editions: Editions) -> Memory:
    """Return what is remembered, made up to date with what this session sees."""
    memory: Memory | None = db.info.get("remembered", {}).get(PLACE)
    newest = _newest(db)
    if memory is None or not _is_of_this_database(db, memory, newest):
        return Memory(newest, editions)
    if not _are_same(memory.editions, editions):
        memory = _under(memory, editions)
    return memory if memory.newest == newest else _with_new_records(db, memory, newest)


def _with_new_records(db: Session, memory: Memory, newest: Newest | None) -> Memory:
    """Read those again about whom there are new records; where they are many, forget all instead."""
    changed = numbered_after(db, memory.newest[0]) if memory.newest else set()
    everybody, dossiers = memory.everybody, memory.dossiers
    size = everybody.size if everybody else len(dossiers or ())
    if _are_many(changed, size) or (everybody and _are_many(everybody.read_anew, size)):
        return Memory(newest, memory.editions)
    new = _read(db, changed, EVER, memory.editions)
    return Memory(
        newest,
        memory.editions,
        everybody.with_dossiers(new) if everybody else None,
        None if dossiers is None else {**dossiers, **new},
    )


def _under(memory: Memory, editions: Editions) -> Memory:
    dossiers = memory.dossiers
    return Memory(
        memory.newest,
        editions,
        memory.everybody.under(editions) if memory.everybody else None,
        None if dossiers is None else {code: Dossier(code, one.facts, editions) for code, one in dossiers.items()},
    )


def _keep(db: Session, memory: Memory) -> None:
    """Remember, unless the session may be undone, or asks about a time when fewer editions were known."""
    remembered = db.info.setdefault("remembered", {})
    before: Memory | None = remembered.get(PLACE)
    if not db.info.get("writes") and (before is None or len(before.editions) <= len(memory.editions)):
        remembered[PLACE] = memory


def _newest(db: Session, number: int | None = None) -> Newest | None:
    """Return what the newest record is known by, or the one of a number."""
    query = select(Record.number, Record.code, Record.recorded_at).order_by(Record.number.desc()).limit(1)
    found = db.execute(query if number is None else query.where(Record.number == number)).one_or_none()
    return (found[0], found[1], found[2]) if found else None


def _is_of_this_database(db: Session, memory: Memory, newest: Newest | None) -> bool:
    """Say whether the record remembered as the newest is still there: another database may have been put in its place,
    or this session may have begun before that record was made.
    """
    if memory.newest is None or memory.newest == newest:
        return memory.newest == newest
    return _newest(db, memory.newest[0]) == memory.newest


def _are_same(some: Editions, others: Editions) -> bool:
    return [(one.number, one.effective, one.hash) for one in some] == [
        (one.number, one.effective, one.hash) for one in others
    ]


def _are_many(people: Collection[str | int], of_all: int) -> bool:
    return len(people) > max(FEW, of_all // 10)


def _read(db: Session, people: Collection[str], known_at: datetime, editions: Editions) -> dict[str, Dossier]:
    """Read the dossiers of some volunteers, with what was known of them at a moment."""
    facts: dict[str, list[Fact]] = {person: [] for person in people}
    for fact in facts_about(db, people):
        if fact.recorded_at <= known_at:
            facts[fact.person].append(fact)
    return {person: Dossier(person, tuple(found), editions) for person, found in facts.items()}


def _read_all(db: Session, known_at: datetime, editions: Editions) -> Dossiers:
    with without_collecting():
        found = facts_by_person(db, known_at)
    return {person: Dossier(person, facts, editions) for person, facts in found.items()}


def _read_tracks(db: Session, known_at: datetime, editions: Editions, people: Iterable[str]) -> Everybody:
    with without_collecting():
        sheaves = Sheaves(said_by_all(db, known_at), people)
        return Everybody(sheaves, _read(db, sheaves.people_apart, known_at, editions), editions)
