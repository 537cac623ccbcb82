"""What the pages of hours share: the day asked about, and files to take away."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from flask import Response

from mentor_training.hours.queries import entries_of, titles_of
from mentor_training.hours.rules import Entry
from mentor_training.hours.spans import Clash, clashes, clashes_of
from mentor_training.people.access import db, instance, now
from mentor_training.people.queries import names
from mentor_training.program.queries import edition_in_force
from mentor_training.web.as_of import current_as_of

KINDS = {
    "csv": "text/csv; charset=utf-8",
    "pdf": "application/pdf",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}


def asked() -> tuple[date, datetime]:
    """Return the day that this request is asked about, and the moment whose knowledge counts."""
    as_of = current_as_of(now(), instance().settings.zone)
    return as_of.day, as_of.known_at or now()


@dataclass(frozen=True)
class SideBySide:
    """A span of time beside the entries that lie across it: of an entry that is there, or (`entry` None) of what was
    typed. `titles` and `names` are what people call sessions and people.
    """

    day: date
    came: datetime
    left: datetime
    clashes: tuple[Clash, ...]
    titles: Mapping[str, str]
    names: Mapping[str, str]
    entry: Entry | None = None


def typed_beside(person: str, day: date, came: datetime, left: datetime) -> SideBySide | None:
    """Return what was typed for somebody beside the entries that it overlaps, or None where there are none."""
    return _beside(clashes(came, left, entries_of(db(), (person,))), day, came, left)


def entry_beside(entry: Entry) -> SideBySide | None:
    """Return an entry beside those that it overlaps, or None where there are none."""
    if entry.came is None or entry.left is None:
        return None
    return _beside(clashes_of(entry, entries_of(db(), (entry.person,))), entry.day, entry.came, entry.left, entry)


def _beside(
    found: tuple[Clash, ...], day: date, came: datetime, left: datetime, entry: Entry | None = None
) -> SideBySide | None:
    if not found:
        return None
    published = edition_in_force(db(), *asked())
    shown = [*([entry] if entry else []), *(one.entry for one in found)]
    titles = titles_of(db(), shown, published.program if published else None)
    return SideBySide(day, came, left, found, titles, names(db()), entry)


def file(content: bytes | Iterator[bytes], name: str) -> Response:
    """Answer with a file to take away."""
    kind = KINDS[name.rpartition(".")[2]]
    return Response(content, content_type=kind, headers={"Content-Disposition": f'attachment; filename="{name}"'})
