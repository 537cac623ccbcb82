"""Approved minutes whose record was voided or withdrawn later: what takes them back, and what may be stated; pure."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from mentor_training.evidence.corrections import Effect, effects
from mentor_training.evidence.facts import Fact
from mentor_training.hours.rules import TAKEN_BACK, Entry


@dataclass(frozen=True)
class TakingBack:
    """So many minutes, less or (given back) more, by which an entry is corrected, and the record that says why."""

    entry: Entry
    minutes: int
    day: date
    because: Fact


def to_take_back(entries: Iterable[Entry], facts: Iterable[Fact]) -> tuple[TakingBack, ...]:
    """Return the corrections that bring a log in line with what became of the records of its approved entries.

    For one person; `facts` are the records of hours and the corrections among them, as they were recorded. What was
    voided is taken back on the entry's own day, what was withdrawn on the day from which it is; where that itself was
    taken back, the minutes are given back. Afterwards there is nothing more to do. A rule of this program.
    """
    entries, facts = tuple(entries), tuple(facts)
    effect, found = effects(facts), []
    for one in entries:
        newest = _newest_about(one.record, facts) if one.record and one.source != TAKEN_BACK else None
        if newest:
            taken = [other for other in entries if other.source == TAKEN_BACK and other.corrects == one.id]
            wanted = -one.minutes if one.record in effect.voided or one.record in effect.cut else 0
            if missing := wanted - sum(other.minutes for other in taken):
                found.append(TakingBack(one, missing, _day_of(one, effect, taken), newest))
    return tuple(found)


def _newest_about(record: str, facts: Iterable[Fact]) -> Fact | None:
    """Return the newest record about a record, or about what is about it, however far."""
    chain, newest = {record}, None
    for fact in facts:
        if fact.refers_to in chain:
            chain.add(fact.code)
            newest = fact
    return newest


def _day_of(entry: Entry, effect: Effect, taken: Iterable[Entry]) -> date:
    if entry.record in effect.voided or entry.record not in effect.cut:
        return max((one.day for one in taken), default=entry.day)
    return max(entry.day, effect.cut[entry.record] + timedelta(days=1))


def may_be_stated(entries: Iterable[Entry], live: Collection[str]) -> tuple[Entry, ...]:
    """Return what is on no statement yet and may be: what is approved and counts, by the records that are `live`.

    What takes minutes back is stated where the minutes themselves are or may be; those that were never stated and
    no longer count are not, and neither is what takes them back. A rule of this program.
    """
    entries = tuple(entries)
    given_out = {one.id for one in entries if one.statement or one.record in live}
    return tuple(
        one
        for one in entries
        if not one.statement and (one.record in live or (one.source == TAKEN_BACK and one.corrects in given_out))
    )
