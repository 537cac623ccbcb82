"""Who would gain and who would lose for a support need by a proposed edition, and on which days to ask; pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from mentor_training.clearance.dossier import NEXT_DAY, Dossier
from mentor_training.clearance.lapses import turning_days
from mentor_training.clearance.rules import climb
from mentor_training.program.catalog import Level
from mentor_training.program.editions import PublishedProgram, in_force
from mentor_training.program.requirements import is_met


@dataclass(frozen=True)
class NeedChange:
    """One volunteer's level on a need's ladder on the first day on which a proposed edition makes a difference.

    At its own top a need caps nobody: independent then stands for whatever the station gives.
    """

    person: str
    need: str
    day: date
    before: Level
    after: Level

    @property
    def gains(self) -> bool:
        """Say whether the level rises."""
        return self.after > self.before


def days_to_ask(without: Dossier, with_it: Dossier, effective: date) -> tuple[date, ...]:
    """Return the days from an edition's effective day on that can make a difference: on all others it is as before."""
    eve = effective - NEXT_DAY
    found = {day for one in (without, with_it) for day in turning_days(one, None, eve, date.max)}
    return tuple(sorted(found | {effective}))


def need_changes(dossiers: Iterable[Dossier], proposed: PublishedProgram) -> Iterator[NeedChange]:
    """Yield, for each volunteer and need, the first day on which the level on its ladder differs under the proposal.

    A need that only one of the two editions has counts as level 0 in the other: whoever has a need that the edition
    does not define is worked with by nobody.
    """
    for without in dossiers:
        with_it = Dossier(without.person, without.facts, (*without.editions, proposed))
        days = days_to_ask(without, with_it, proposed.effective)
        for need in dict.fromkeys(slug for edition in with_it.editions for slug in edition.program.needs):
            found = _first(without, with_it, need, days)
            if found:
                yield found


def _first(without: Dossier, with_it: Dossier, need: str, days: Iterable[date]) -> NeedChange | None:
    for day in days:
        before, after = need_level(without, need, day), need_level(with_it, need, day)
        if before != after:
            return NeedChange(without.person, need, day, before, after)
    return None


def need_level(dossier: Dossier, need: str, on: date) -> Level:
    """Return the level on a need's ladder: 0 without the requirement of entry, and where there is no such need."""
    edition, holdings = in_force(dossier.editions, on), dossier.holdings(on)
    if edition is None or holdings is None or need not in edition.program.needs:
        return Level.NOT_YET
    if not is_met(edition.program.entry, holdings.holds):
        return Level.NOT_YET
    return climb(edition.program.needs[need].ladder, holdings)
