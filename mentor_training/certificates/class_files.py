"""Files of a class: the valid certificates of a section, or of a kind, as PDFs in a folder or in one ZIP."""

from __future__ import annotations

import hashlib
import os
import shutil
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

from sqlalchemy.orm import Session

from mentor_training.certificates.class_issue import asked_by
from mentor_training.certificates.pdf import sheet_of
from mentor_training.certificates.queries import issued_to, people_of
from mentor_training.certificates.rendering import Order, render_all
from mentor_training.certificates.rules import Standing
from mentor_training.certificates.signing import credential_of
from mentor_training.certificates.tables import Certificate, Revocation
from mentor_training.clock import SystemClock
from mentor_training.csv_form import write_for_spreadsheets
from mentor_training.database.instance import Instance
from mentor_training.errors import PdfUnavailable, Refused
from mentor_training.jobs.actions import enqueue
from mentor_training.jobs.rules import KEPT
from mentor_training.jobs.tables import Job
from mentor_training.jobs.work import Work
from mentor_training.people.permissions import Actor
from mentor_training.people.tables import Person
from mentor_training.settings import Settings

KIND = "class-files"
INDEX = "certificates.csv"
# From so many certificates on, processes of their own are worth the second that each takes to begin.
MANY = 20
# ZIP knows no time zone, and the same certificates give the same file.
DAY_IN_ZIP = (2000, 1, 1, 0, 0, 0)


@dataclass(frozen=True)
class Wanted:
    """Which certificates, of a section and of a kind (empty: of all), on which paper, with credential or without."""

    section: str = ""
    kind: str = ""
    size: str = "letter"
    archival: bool = False

    @property
    def key(self) -> str:
        """Return a name of it."""
        return f"{self.section or 'all'}/{self.kind or 'all'}/{self.size}{'/archival' if self.archival else ''}"

    def file_of(self, number: str) -> str:
        """Return the name of a certificate's file."""
        return f"{number}{'-archival' if self.archival else ''}.pdf"


def wanted_rows(db: Session, by: Actor, wanted: Wanted, on: date) -> list[tuple[str, str, str]]:
    """Return number, person and kind of the certificates that are meant and valid on a day, by their numbers.

    Refused where there is none, so that nobody takes an empty file for a class without certificates.
    """
    found = issued_to(db, [row.code for row in people_of(db, by, wanted.section)])
    rows = sorted(
        (one.certificate.number, one.certificate.person, one.certificate.kind)
        for one in found
        if one.standing(on) is Standing.VALID and wanted.kind in ("", one.certificate.kind)
    )
    if not rows:
        raise Refused(
            f"No certificate{f' of {wanted.kind}' if wanted.kind else ''} is valid"
            f"{f' in section {wanted.section}' if wanted.section else ''}; there is nothing to write."
        )
    return rows


def write_files(
    instance: Instance, numbers: Iterable[str], wanted: Wanted, folder: Path, processes: int
) -> Iterator[str]:  # fmt: skip
    """Write certificates as PDFs into a folder, and give each number once its file is there.

    What is there already and the same is left. One that is revoked on the way is left out.
    """
    folder.mkdir(parents=True, exist_ok=True)
    return render_all(_orders(instance, numbers, wanted, folder), processes)


def _orders(instance: Instance, numbers: Iterable[str], wanted: Wanted, folder: Path) -> Iterator[Order]:
    settings = instance.settings
    for number in numbers:
        with instance.database.reading() as db:
            if db.get(Revocation, number):
                continue
            row = db.get_one(Certificate, number)
            credential = credential_of(row, settings) if wanted.archival else b""
            sheet = sheet_of(row, db.get(Person, row.issued_by), settings.address, credential, wanted.size)
        yield Order(sheet, folder / wanted.file_of(number))


def index_of(db: Session, numbers: Iterable[str], wanted: Wanted) -> str:
    """Return whose each file is, as CSV that is safe to open in a spreadsheet."""
    found = (db.get_one(Certificate, number) for number in numbers)
    rows = [
        (wanted.file_of(row.number), row.number, row.person, row.content["name"], row.content["title"]) for row in found
    ]
    return write_for_spreadsheets(("file", "number", "person", "name", "certificate"), rows)


def ask_for_files(db: Session, at: datetime, by: Actor, wanted: Wanted, on: date) -> Job:
    """Have the files of a class made in the background; where that runs, it is that one."""
    wanted_rows(db, by, wanted, on)
    arguments = {**asdict(wanted), "on": on.isoformat()}
    return enqueue(db, at, by.code, KIND, arguments, f"{KIND}/{by.code}/{wanted.key}")


def make_files(work: Work) -> dict[str, Any]:
    """Make the ZIP that was asked for, one PDF at a time; stopped or killed, it goes on where it was."""
    wanted, settings = wanted_of(work.arguments), work.instance.settings
    sweep_files(settings, work.taken.ticket.number)
    with work.instance.database.reading() as db:
        by = asked_by(db, work.taken.asked_by)
        rows = wanted_rows(db, by, wanted, date.fromisoformat(work.arguments["on"]))
    numbers = [number for number, _, _ in rows]
    folder, written = _parts_of(settings, by.code, wanted), []
    work.step(f"writing {len(numbers)} certificates")
    work.progress(0, len(numbers))
    try:
        for number in write_files(work.instance, numbers, wanted, folder, _processes(len(numbers))):
            written.append(number)
            work.progress(len(written), len(numbers))
            if work.stopped():
                return {"stopped": True, "numbers": [], "files": len(written), "of": len(numbers)}
    except PdfUnavailable as lacking:
        raise Refused(str(lacking)) from None
    work.step("putting them into one ZIP")
    with work.instance.database.reading() as db:
        index = index_of(db, sorted(written), wanted)
    target = zip_of(settings, work.taken.ticket.number)
    zip_up([folder / wanted.file_of(number) for number in sorted(written)], index, target)
    shutil.rmtree(folder)
    return {"stopped": False, "numbers": sorted(written), "bytes": target.stat().st_size}


def zip_up(files: Sequence[Path], index: str, target: Path) -> None:
    """Put files into a ZIP on the disk, one after the other, whole or not at all; they are compressed already."""
    unfinished = target.with_name(f"{target.name}.{os.getpid()}.part")
    with zipfile.ZipFile(unfinished, "w") as made:
        made.writestr(zipfile.ZipInfo(INDEX, DAY_IN_ZIP), index)
        for file in files:
            entry = zipfile.ZipInfo(file.name, DAY_IN_ZIP)
            with file.open("rb") as source, made.open(entry, "w") as place:
                shutil.copyfileobj(source, place)
    unfinished.chmod(0o600)
    unfinished.replace(target)


def wanted_of(arguments: Any) -> Wanted:
    """Return what a job was asked for."""
    return Wanted(arguments["section"], arguments["kind"], arguments["size"], arguments["archival"])


def zip_of(settings: Settings, job: int) -> Path:
    """Return where a job's ZIP lies, of its own instance, outside everything that is served."""
    return _folder(settings) / f"job-{job}.zip"


def sweep_files(settings: Settings, job: int = 0) -> None:
    """Delete what was made for jobs that are cleared by now; names of people are kept no longer than that.

    A ZIP of the same number is of a job of a database that was restored since.
    """
    oldest = SystemClock().now() - KEPT - timedelta(days=1)
    for path in _folder(settings).iterdir():
        if path.stat().st_mtime < oldest.timestamp() or path == zip_of(settings, job):
            shutil.rmtree(path) if path.is_dir() else path.unlink(missing_ok=True)


def _parts_of(settings: Settings, by: str, wanted: Wanted) -> Path:
    return _folder(settings) / f"parts-{hashlib.sha256(f'{by}/{wanted.key}'.encode()).hexdigest()[:24]}"


def _folder(settings: Settings) -> Path:
    found = settings.folder / KIND
    found.mkdir(mode=0o700, exist_ok=True)
    return found


def _processes(many: int) -> int:
    return min(2, os.cpu_count() or 1) if many >= MANY else 1
