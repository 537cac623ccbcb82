"""Which published edition of the program counts on a day, as known at a moment; pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

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
