"""Scans: sent with a paper, looked at, and deleted once they have served; each of it stands in the journal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from mentor_training.clock import day_in
from mentor_training.errors import NotAllowed, Refused
from mentor_training.journal.actions import take_turn, write
from mentor_training.papers.queries import entry_for, kept_scans, scan_for
from mentor_training.papers.rules import deletion_of
from mentor_training.papers.scans.folder import ScanFolder
from mentor_training.papers.scans.reading import PlainScan
from mentor_training.papers.tables import PaperOnFile, Scan, ScanDeletion
from mentor_training.people.permissions import Act, Actor
from mentor_training.program.catalog import Policy
from mentor_training.program.queries import edition_in_force, require_edition

MOST_KEPT = 12


def own_or_all(by: Actor, person: str) -> None:
    """Refuse whoever is neither the person nor a coordinator."""
    if by.code != person and not by.may(Act.VERIFY_PAPERS):
        raise NotAllowed("somebody else's papers")


def add_scan(
    db: Session, at: datetime, zone: ZoneInfo, by: Actor, number: int, folder: ScanFolder, plain: PlainScan
) -> Scan:
    """Keep a scan of a paper that waits: the file is on the disk before its row is, and without the row it is swept.

    It takes the place of one that was sent before. Refuses a paper whose file says `scan = false`, one that is decided
    on, and more than a dozen scans of one person.
    """
    paper = _open_for_scan(db, at, zone, by, number)
    if sum(row.person == paper.person for row, _ in kept_scans(db)) >= MOST_KEPT:
        raise Refused(f"{MOST_KEPT} scans wait already; more are taken in when some of them have been looked at.")
    row = Scan(
        person=paper.person, name=folder.keep(plain.data), sha256=plain.sha256, kind=plain.kind,
        size=len(plain.data), pages=plain.pages, put_at=at, put_by=by.code,
    )  # fmt: skip
    db.add(row)
    db.flush()
    _show(db, at, by, paper, row)
    return row


def share_scan(db: Session, at: datetime, zone: ZoneInfo, by: Actor, number: int, scan: int) -> Scan:
    """Name a scan that was sent before as the one that shows a paper too: two cards on one picture."""
    paper, row = _open_for_scan(db, at, zone, by, number), scan_for(db, scan)
    if row.person != paper.person:
        raise NotAllowed("a scan of somebody else")
    _show(db, at, by, paper, row)
    return row


def _open_for_scan(db: Session, at: datetime, zone: ZoneInfo, by: Actor, number: int) -> PaperOnFile:
    take_turn(db)
    row = entry_for(db, number)
    own_or_all(by, row.person)
    if row.verified_at or row.declined_at:
        raise Refused("It has been decided on already; a scan would show nothing to anybody.")
    known = require_edition(db, day_in(zone, at), at).program.papers.get(row.paper)
    if known and not known.scan:
        raise Refused(f"No picture of {known.title} is taken in: only its outcome and its dates are kept.")
    return row


def _show(db: Session, at: datetime, by: Actor, paper: PaperOnFile, scan: Scan) -> None:
    paper.scan = scan.number
    db.flush()
    written = {"entry": paper.id, "scan": scan.number, "sha256": scan.sha256, "kind": scan.kind, "size": scan.size}
    write(db, at, by.code, "scan-put", paper.person, written)


def look(db: Session, at: datetime, by: Actor, number: int) -> Scan:
    """Open a scan to the coordinator; each look is journaled."""
    if not by.may(Act.VERIFY_PAPERS):
        raise NotAllowed("a scan")
    row = scan_for(db, number)
    write(db, at, by.code, "looked", row.person, {"at": "scan", "scan": number})
    return row


@dataclass(frozen=True)
class Swept:
    """What a sweep did: the scans it deleted, how many files without a row it took away, and what it could not."""

    deleted: tuple[ScanDeletion, ...]
    strays: int
    failed: tuple[str, ...]


def sweep(db: Session, at: datetime, zone: ZoneInfo, by: Actor, folder: ScanFolder) -> Swept:
    """Delete every scan whose time is over, and every file that no row names; what is gone is written down.

    A file goes before its row is written: broken off in between, the next sweep finds the row due still, the file
    gone, and writes it down then. It holds the turn to write, so a file without a row is of an upload that failed.
    """
    take_turn(db)
    deleted, failed = [], []
    for row, because in _due(db, at, zone):
        if _is_gone(folder, row.name):
            deleted.append(_note(db, at, by, row, because))
        else:
            failed.append(f"scan {row.number}")
    known = {row.name for row, _ in kept_scans(db)}
    strays = [name for name in sorted(folder.names()) if name not in known]
    gone = sum(_is_gone(folder, name) for name in strays)
    if gone:
        write(db, at, by.code, "scans-swept", "scans", {"strays": gone})
    failed += ["a file without a row"] * (len(strays) - gone)
    return Swept(tuple(deleted), gone, tuple(failed))


def _due(db: Session, at: datetime, zone: ZoneInfo) -> Iterator[tuple[Scan, str]]:
    today = day_in(zone, at)
    edition = edition_in_force(db, today, at)
    policy = edition.program.policy if edition else Policy()
    for row, papers in kept_scans(db):
        decided = _decided(papers, zone)
        day, because = deletion_of(day_in(zone, row.put_at), decided, policy.scan_kept_days, policy.scan_waits_days)
        if day <= today:
            yield row, because


def _decided(papers: Sequence[PaperOnFile], zone: ZoneInfo) -> list[date | None]:
    moments = [paper.verified_at or paper.declined_at for paper in papers]
    return [day_in(zone, moment) if moment else None for moment in moments]


def _is_gone(folder: ScanFolder, name: str) -> bool:
    try:
        folder.delete(name)
    except OSError:
        return False
    return True


def _note(db: Session, at: datetime, by: Actor, row: Scan, because: str) -> ScanDeletion:
    gone = ScanDeletion(scan=row.number, deleted_at=at, deleted_by=by.code, because=because)
    db.add(gone)
    db.flush()
    written = {"scan": row.number, "sha256": row.sha256, "because": because}
    write(db, at, by.code, "scan-deleted", row.person, written)
    return gone
