"""What is on file, what waits, what ends when, and which scans are kept."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.errors import NotFound
from mentor_training.evidence.corrections import Effect, effects
from mentor_training.evidence.facts import ON_FILE, WAIVED, Fact
from mentor_training.evidence.queries import facts_by_person, facts_of
from mentor_training.papers.rules import IN_FORCE, Notice, OnFile, PaperState, end_of, notice_on, state_on
from mentor_training.papers.scans.kinds import PDF
from mentor_training.papers.tables import PaperOnFile, Scan, ScanDeletion
from mentor_training.people.queries import people, volunteers
from mentor_training.people.tables import Person
from mentor_training.program.catalog import Paper, Program
from mentor_training.program.queries import require_edition

SOON_DAYS = 90

WAITING = "waiting"
VERIFIED = "verified"
WITHDRAWN = "withdrawn"
DECLINED = "declined"


@dataclass(frozen=True)
class ShownScan:
    """A scan as it stood at the moment asked about: kept, or deleted since when and why."""

    number: int
    kind: str
    pages: int
    put_at: datetime
    deleted_at: datetime | None = None
    because: str = ""

    @property
    def is_kept(self) -> bool:
        """Return whether it is there to be looked at."""
        return self.deleted_at is None

    @property
    def is_document(self) -> bool:
        """Return whether it is a PDF and no picture."""
        return self.kind == PDF


@dataclass(frozen=True)
class ShownEntry:
    """A paper that was put on file, as it stood at the moment asked about.

    `state` is waiting, verified, withdrawn (verified, and its record withdrawn or voided since) or declined. The dates
    are those of its record once it is verified: what the coordinator saw.
    """

    row: PaperOnFile
    state: str
    ends: date | None
    issued: date
    last_day: date | None
    scan: ShownScan | None = None


@dataclass(frozen=True)
class PaperLine:
    """One paper of one volunteer: how it stands on a day, and what was put on file for it, newest first."""

    paper: Paper
    state: PaperState
    entries: tuple[ShownEntry, ...]

    @property
    def waiting(self) -> tuple[ShownEntry, ...]:
        """Return what waits to be verified."""
        return tuple(entry for entry in self.entries if entry.state == WAITING)

    def notice_on(self, day: date) -> Notice | None:
        """Return the notice that is due on the day of the question."""
        if self.state.kind != IN_FORCE or self.state.day is None:
            return None
        renewed = any(entry.ends is None or entry.ends > self.state.day for entry in self.waiting)
        return notice_on(self.state.day, day, renewed)


@dataclass(frozen=True)
class Ending:
    """A paper of a volunteer that ends soon, and whether another one waits to be verified."""

    person: Person
    line: PaperLine
    day: date


def entry_for(db: Session, number: int) -> PaperOnFile:
    """Return a paper that was put on file, by its number."""
    row = db.get(PaperOnFile, number)
    if row is None:
        raise NotFound(f"paper on file {number}")
    return row


def entries_of(db: Session, person: str, known_at: datetime) -> list[PaperOnFile]:
    """Return what was put on file for a volunteer up to a moment, newest first."""
    query = select(PaperOnFile).where(PaperOnFile.person == person, PaperOnFile.put_at <= known_at)
    return list(db.scalars(query.order_by(PaperOnFile.id.desc())))


def waiting(db: Session) -> list[PaperOnFile]:
    """Return everything that waits to be verified, oldest first."""
    query = select(PaperOnFile).where(PaperOnFile.verified_at.is_(None), PaperOnFile.declined_at.is_(None))
    return list(db.scalars(query.order_by(PaperOnFile.id)))


def end_under(program: Program, row: PaperOnFile) -> date | None:
    """Return the last day of a paper on file under an edition of the program; None when it is open."""
    return _end(program, row.paper, row.issued, row.last_day)


def _end(program: Program, slug: str, issued: date, last_day: date | None) -> date | None:
    paper = program.papers.get(slug)
    return end_of(issued, last_day, paper.good_for_months if paper else None)


def scan_for(db: Session, number: int) -> Scan:
    """Return a scan that has not been deleted, by its number."""
    row, gone = db.get(Scan, number), db.get(ScanDeletion, number)
    if row is None or gone is not None:
        raise NotFound(f"scan {number} any more" if row else f"scan {number}")
    return row


def shown_scans(db: Session, known_at: datetime, person: str = "") -> dict[int, ShownScan]:
    """Return by number the scans known at a moment, and whether each was deleted by then; of one person if asked."""
    gone = {one.scan: one for one in db.scalars(select(ScanDeletion).where(ScanDeletion.deleted_at <= known_at))}
    query = select(Scan).where(Scan.put_at <= known_at).order_by(Scan.number)
    rows = db.scalars(query.where(Scan.person == person) if person else query)
    return {row.number: _shown_scan(row, gone.get(row.number)) for row in rows}


def _shown_scan(row: Scan, gone: ScanDeletion | None) -> ShownScan:
    seen = ShownScan(row.number, row.kind, row.pages, row.put_at)
    return replace(seen, deleted_at=gone.deleted_at, because=gone.because) if gone else seen


def kept_scans(db: Session) -> list[tuple[Scan, list[PaperOnFile]]]:
    """Return every scan that is not deleted, with the papers that it shows, the oldest first."""
    gone = select(ScanDeletion.scan)
    papers: dict[int | None, list[PaperOnFile]] = {}
    for paper in db.scalars(select(PaperOnFile).where(PaperOnFile.scan.is_not(None)).order_by(PaperOnFile.id)):
        papers.setdefault(paper.scan, []).append(paper)
    rows = db.scalars(select(Scan).where(Scan.number.not_in(gone)).order_by(Scan.number))
    return [(row, papers.get(row.number, [])) for row in rows]


def scans_to_share(db: Session, person: str) -> list[tuple[int, tuple[str, ...]]]:
    """Return a volunteer's kept scans by number, the newest first, each with the papers (slugs) that it shows."""
    kept = [(row.number, tuple(one.paper for one in papers)) for row, papers in kept_scans(db) if row.person == person]
    return kept[::-1]


def papers_of(db: Session, person: str, on: date, known_at: datetime) -> tuple[PaperLine, ...]:
    """Return how every paper of the program stands for a volunteer on a day, in the order of the program's file."""
    program = require_edition(db, on, known_at).program
    facts, entries = facts_of(db, person, known_at), entries_of(db, person, known_at)
    return _lines(program, facts, entries, on, known_at, shown_scans(db, known_at, person))


def ending(db: Session, on: date, known_at: datetime, days: int = SOON_DAYS) -> tuple[Ending, ...]:
    """Return every paper in force on a day that ends within so many days, the first to end first."""
    program = require_edition(db, on, known_at).program
    facts = facts_by_person(db, known_at)
    entries: dict[str, list[PaperOnFile]] = {}
    for row in db.scalars(select(PaperOnFile).where(PaperOnFile.put_at <= known_at).order_by(PaperOnFile.id.desc())):
        entries.setdefault(row.person, []).append(row)
    found = [
        Ending(person, line, line.state.day)
        for person in volunteers(db)
        for line in _lines(program, facts.get(person.code, ()), entries.get(person.code, []), on, known_at)
        if line.state.ends_within(on, days) and line.state.day is not None
    ]
    return tuple(sorted(found, key=lambda one: (one.day, one.person.name, one.line.paper.title)))


def names(db: Session) -> dict[str, str]:
    """Return everybody's name by code."""
    return {row.code: row.name for row in people(db)}


def _lines(
    program: Program,
    facts: Iterable[Fact],
    entries: Sequence[PaperOnFile],
    on: date,
    known_at: datetime,
    scans: Mapping[int, ShownScan] | None = None,
) -> tuple[PaperLine, ...]:
    gathered = tuple(facts)
    effect = effects(gathered)
    spans = _spans(program, gathered, effect)
    then = _Then(program, on, known_at, effect, {fact.code: fact for fact in gathered}, scans or {})
    return tuple(
        PaperLine(
            paper,
            state_on(spans.get(slug, ()), on),
            tuple(_shown(entry, then) for entry in entries if entry.paper == slug),
        )
        for slug, paper in program.papers.items()
    )


@dataclass(frozen=True)
class _Then:
    """What a paper on file is seen by: the edition, the day, the moment, and what was known then."""

    program: Program
    on: date
    known_at: datetime
    effect: Effect
    facts: Mapping[str, Fact]
    scans: Mapping[int, ShownScan]


def _shown(row: PaperOnFile, then: _Then) -> ShownEntry:
    state, issued, last_day = WAITING, row.issued, row.last_day
    if row.record and row.verified_at and row.verified_at <= then.known_at:
        state = VERIFIED if then.effect.stands(row.record, then.on) else WITHDRAWN
        seen = then.facts.get(row.record)
        issued, last_day = (seen.first_day, seen.last_day) if seen else (issued, last_day)
    elif row.declined_at and row.declined_at <= then.known_at:
        state = DECLINED
    ends = _end(then.program, row.paper, issued, last_day)
    return ShownEntry(row, state, ends, issued, last_day, then.scans.get(row.scan or 0))


def _spans(program: Program, facts: Sequence[Fact], effect: Effect) -> dict[str, list[OnFile]]:
    """Return from when to when each paper is on file, as the records say: moved in, verified here, or waived."""
    found: dict[str, list[OnFile]] = {}
    for fact in facts:
        slug = fact.item.removeprefix("paper/")
        paper = program.papers.get(slug)
        if paper is None or fact.code in effect.voided:
            continue
        if fact.kind == ON_FILE:
            last = effect.last(fact, end_of(fact.first_day, fact.last_day, paper.good_for_months))
            found.setdefault(slug, []).append(OnFile(fact.first_day, last))
        elif fact.kind == WAIVED and paper.waivable:
            found.setdefault(slug, []).append(OnFile(fact.first_day, effect.last(fact), waiver=True))
    return found
