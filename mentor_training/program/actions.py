"""Publishing an edition of the program; changing and removing the files that the next one will be made of."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime

from sqlalchemy.orm import Session

from mentor_training.errors import Refused
from mentor_training.journal.actions import take_turn, write
from mentor_training.journal.chain import digest
from mentor_training.people.permissions import Actor
from mentor_training.program import drafts
from mentor_training.program.editions import content_hash, publishing_refusals
from mentor_training.program.files import Folders
from mentor_training.program.queries import latest_edition
from mentor_training.program.reading import Finding, read_program
from mentor_training.program.tables import Edition, EditionFile


def publish(
    db: Session,
    at: datetime,
    by: Actor,
    today: date,
    files: Mapping[str, str],
    effective: date,
    unreadable: Iterable[Finding] = (),
) -> Edition:
    """Publish files as the next edition, to take effect on a day; `today` is the day of `at` in the program's zone.

    Refuses with every fault of the files, and with what the rules say about the day. `unreadable` are findings about
    files that could not even be collected; a fault among them counts like any other.
    """
    take_turn(db)
    latest = latest_edition(db)
    program, findings = read_program(files)
    faults = [str(one) for one in dict.fromkeys((*unreadable, *findings)) if one.fault]
    if faults or program is None:
        raise Refused(*faults)
    found_hash = content_hash(files)
    number = latest.number if latest else 0
    refusals = publishing_refusals(found_hash, effective, today, latest.hash if latest else None, number)
    if refusals:
        raise Refused(*refusals)
    return _store(db, at, by, number + 1, files, found_hash, effective)


def _store(
    db: Session, at: datetime, by: Actor, number: int, files: Mapping[str, str], found_hash: str, effective: date
) -> Edition:
    """Store edition and files, and write the journal's entry; the first edition counts as known from the beginning."""
    edition = Edition(
        number=number,
        hash=found_hash,
        effective=effective,
        published_at=at,
        published_by=by.code,
        from_start=number == 1,
    )
    db.add(edition)
    db.flush()
    db.add_all(EditionFile(edition=number, path=path, text=text) for path, text in sorted(files.items()))
    db.flush()
    record = {
        "number": number,
        "effective": effective.isoformat(),
        "hash": found_hash,
        "files": {path: digest(text) for path, text in files.items()},
    }
    write(db, at, by.code, "edition", f"edition-{number}", record)
    return edition


STALE = "This file has changed since the page was opened; what you typed is kept below, and nothing was written."


def change_file(db: Session, at: datetime, by: Actor, folders: Folders, path: str, text: str, seen: str) -> bool:
    """Write a file of the program on the disk; return whether that changed anything.

    `seen` is the hash of the file that the author had before their eyes, empty for a new one: if another lies there
    now, nothing is written. What is on the disk counts for nobody before it is published, so faults may stand in it.
    """
    take_turn(db)
    before = drafts.draft_for(folders, path)
    after = drafts.plain_text(text)
    if before.hash != seen:
        raise Refused(STALE if seen else f"There is a file {path} already; open it and change that one.")
    if not after.strip():
        raise Refused("The text is empty. A file that is no longer wanted is removed by its own step.")
    if before.hash == drafts.hash_of(after):
        return False
    with drafts.written(folders, path, after):
        _journal_file(db, at, by, path, before.hash, drafts.hash_of(after))
    return True


def remove_file(db: Session, at: datetime, by: Actor, folders: Folders, path: str, seen: str) -> None:
    """Remove a file of the program from the disk; published editions keep theirs."""
    take_turn(db)
    before = drafts.draft_for(folders, path)
    if not before.exists:
        raise Refused(f"There is no file {path} any more.")
    if before.hash != seen:
        raise Refused("This file has changed since the page was opened; look at it again before you remove it.")
    _journal_file(db, at, by, path, before.hash, drafts.ABSENT)
    drafts.remove(folders, path)


def _journal_file(db: Session, at: datetime, by: Actor, path: str, before: str, after: str) -> None:
    record = {"path": path, "before": _sealed(before), "after": _sealed(after)}
    write(db, at, by.code, "program-file", path, record)


def _sealed(found_hash: str) -> str | None:
    return f"sha256:{found_hash}" if found_hash else None
