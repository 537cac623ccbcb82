"""Published editions: which of them counts on a day, as known at a moment, and what may be published; pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from mentor_training.journal.chain import canonical, digest
from mentor_training.program.catalog import Program


@dataclass(frozen=True, eq=False)
class PublishedProgram:
    """A published edition with its program. `from_start`: it counts as known from the beginning."""

    number: int
    effective: date
    published_at: datetime
    hash: str
    program: Program
    from_start: bool = False

    def known(self, known_at: datetime) -> bool:
        """Say whether it was known at a moment."""
        return self.from_start or self.published_at <= known_at


def in_force(editions: Iterable[PublishedProgram], on: date) -> PublishedProgram | None:
    """Return, of the editions known, the latest that has taken effect on a day: by effective day, then by number.

    A rule of this program. None before the first one takes effect.
    """
    begun = [edition for edition in editions if edition.effective <= on]
    return max(begun, key=lambda edition: (edition.effective, edition.number), default=None)


def module_edition_on(slug: str, day: date, editions: Sequence[PublishedProgram]) -> int:
    """Return a module's edition in force on a day; before the program's first edition, the earliest there is.

    0 where no edition of the program has the module. A rule of this program.
    """
    having = [published for published in editions if slug in published.program.modules]
    found = in_force(having, day) or min(having, key=lambda one: (one.effective, one.number), default=None)
    return found.program.modules[slug].edition if found else 0


@dataclass(frozen=True)
class Retaking:
    """A critical edition of a module: completions of earlier ones end at the latest on `by`, which is inclusive."""

    edition: int
    effective: date
    by: date


def retakings(slug: str, done: int, editions: Iterable[PublishedProgram]) -> tuple[Retaking, ...]:
    """Return the critical editions of a module later than the one done, each with the last day of its grace.

    Its program edition's effective day + its `grace_days`, calendar days. A rule of this program.
    """
    return tuple(
        Retaking(module.edition, published.effective, published.effective + timedelta(days=module.grace_days))
        for published in editions
        if (module := published.program.modules.get(slug)) and module.must_retake and module.edition > done
    )


def retake_end(slug: str, done: int, editions: Iterable[PublishedProgram]) -> date | None:
    """Return the day on which a completion of a module's edition ends because a later one must be retaken, or None."""
    return min((one.by for one in retakings(slug, done, editions)), default=None)


def content_hash(files: Mapping[str, str]) -> str:
    """Return the SHA-256 of a definition's files: of the canonical JSON (RFC 8785) of their paths and texts."""
    return digest(canonical(files))


def publishing_refusals(
    files_hash: str, effective: date, today: date, latest_hash: str | None, latest_number: int
) -> tuple[str, ...]:
    """Say why files without a fault may not be published; empty when they may.

    The first edition may take effect on any day, a later one not before the day it is published, because what was
    decided under the edition of that time stays decided. Rules of this program.
    """
    refusals = []
    if latest_hash == files_hash:
        refusals.append(f"These files are edition {latest_number} already; change something before publishing again.")
    if latest_hash is not None and effective < today:
        refusals.append(
            f"An edition after the first cannot take effect before the day it is published: "
            f"choose {today:%Y-%m-%d} or a later day."
        )
    return tuple(refusals)


@dataclass(frozen=True)
class FileChanges:
    """How files differ from those of an edition, by path."""

    added: tuple[str, ...]
    changed: tuple[str, ...]
    removed: tuple[str, ...]

    def __bool__(self) -> bool:
        return bool(self.added or self.changed or self.removed)


def file_changes(before: Mapping[str, str], after: Mapping[str, str]) -> FileChanges:
    """Compare two sets of files by their paths and texts."""
    return FileChanges(
        added=tuple(sorted(after.keys() - before.keys())),
        changed=tuple(sorted(path for path in after.keys() & before.keys() if after[path] != before[path])),
        removed=tuple(sorted(before.keys() - after.keys())),
    )
