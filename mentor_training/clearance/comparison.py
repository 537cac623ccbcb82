"""Who would gain and who would lose by a proposed edition, before it is published; pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from mentor_training.clearance.dossier import Dossier
from mentor_training.clearance.rules import level_on
from mentor_training.program.catalog import Level
from mentor_training.program.editions import PublishedProgram


@dataclass(frozen=True)
class Change:
    """One volunteer's level at one station on the day a proposed edition would take effect, without it and with it."""

    person: str
    station: str
    day: date
    before: Level
    after: Level

    @property
    def gains(self) -> bool:
        """Say whether the level rises."""
        return self.after > self.before


def changes(dossiers: Iterable[Dossier], proposed: PublishedProgram, days: Iterable[date]) -> Iterator[Change]:
    """Yield, for each volunteer and station, the first of the days on which the level differs under the proposal.

    `days` are asked in order, from the day it takes effect; a station that only one of the two editions has counts as
    level 0 in the other.
    """
    asked = sorted({day for day in days if day >= proposed.effective} | {proposed.effective})
    for dossier in dossiers:
        with_it = Dossier(dossier.person, dossier.facts, (*dossier.editions, proposed))
        for station in _stations(with_it.editions):
            change = _first_change(dossier, with_it, station, asked)
            if change:
                yield change


def _stations(editions: Iterable[PublishedProgram]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(slug for edition in editions for slug in edition.program.stations))


def _first_change(without: Dossier, with_it: Dossier, station: str, days: Iterable[date]) -> Change | None:
    for day in days:
        before, after = level_on(without, station, None, day), level_on(with_it, station, None, day)
        if before != after:
            return Change(without.person, station, day, before, after)
    return None
