"""Who would gain and who would lose by a proposed edition, before it is published; pure.

Everybody is asked at once, with the proposal and without it: where two sets of volunteers are the same number, nothing
changes for anybody.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from itertools import zip_longest

from mentor_training.clearance.bitmaps import Tally, bitmap, places_in
from mentor_training.clearance.dossier import ParticipantFile
from mentor_training.clearance.everybody import Everybody
from mentor_training.clearance.matrix import Day, Matrix
from mentor_training.program.catalog import Level
from mentor_training.program.editions import PublishedProgram

Reached = tuple[int, ...]


@dataclass(frozen=True)
class Change:
    """One volunteer's level at one station on the first day on which a proposed edition makes a difference."""

    person: str
    station: str
    day: date
    before: Level
    after: Level

    @property
    def gains(self) -> bool:
        """Say whether the level rises."""
        return self.after > self.before


@dataclass(frozen=True)
class PairChanges:
    """At how many stations with how many participants a volunteer's level would rise, and at how many it would fall:
    each pairing of a station and a participant counts once, by the first day on which it differs.
    """

    person: str
    gained: int
    lost: int


def changes(
    everybody: Everybody, people: Sequence[str], proposed: PublishedProgram, days: Iterable[date]
) -> Iterator[Change]:
    """Yield, for each volunteer and station, the first of the days on which the level differs under the proposal.

    `days` are asked in order, from the day it takes effect; a station that only one of the two editions has counts as
    level 0 in the other.
    """
    both = _Both(everybody, people, proposed, days)
    found: dict[tuple[int, str], Change] = {}
    codes = {place: code for code, place in both.places.items()}
    still = dict.fromkeys(both.stations, both.asked)
    for day in both.days:
        # Each day is let go of before the next: there may be hundreds of them.
        without, with_it = Day(both.without.everybody, day), Day(both.with_it.everybody, day)
        for station in both.stations:
            before, after = without.column(station).reached, with_it.column(station).reached
            differs = _differing(before, after) & still[station]
            still[station] ^= differs
            for place in places_in(differs):
                levels = (_level(before, place), _level(after, place))
                found[place, station] = Change(codes[place], station, day, *levels)
    for person in people:
        place = both.places[person]
        yield from (found[place, station] for station in both.stations if (place, station) in found)


def pair_changes(
    everybody: Everybody,
    people: Sequence[str],
    participants: Iterable[ParticipantFile],
    proposed: PublishedProgram,
    days: Iterable[date],
) -> Iterator[PairChanges]:
    """Yield, for each volunteer for whom any differs, how many pairings would be gained and lost; days as `changes`."""
    both, gained, lost = _Both(everybody, people, proposed, days), Tally(), Tally()
    for participant in participants:
        for station in both.stations_that_change(participant):
            for _, before, after, differs in both.differences(station, participant):
                more = _higher(after, before) & differs
                gained.add(more)
                lost.add(differs & ~more)
    for person in people:
        place = both.places[person]
        if gained.at(place) or lost.at(place):
            yield PairChanges(person, gained.at(place), lost.at(place))


class _Both:
    """Everybody without a proposed edition and with it."""

    def __init__(
        self, everybody: Everybody, people: Sequence[str], proposed: PublishedProgram, days: Iterable[date]
    ) -> None:
        known = everybody.with_people(people)
        editions = (*known.editions, proposed)
        self.without, self.with_it = Matrix(known), Matrix(known.under(editions))
        self.places = {person: known.places[person] for person in people}
        self.asked = bitmap(self.places.values(), known.size)
        self.days = sorted({day for day in days if day >= proposed.effective} | {proposed.effective})
        self.stations = tuple(dict.fromkeys(slug for edition in editions for slug in edition.program.stations))

    def stations_that_change(self, participant: ParticipantFile) -> Iterable[str]:
        """Return where anything may differ with a participant: everywhere if one of their needs is not the same."""
        needs = {slug for profile in participant.profiles for slug in profile.needs}
        return self.stations if needs & self._changed_needs else self._changed_stations

    @cached_property
    def _changed_stations(self) -> tuple[str, ...]:
        return tuple(one for one in self.stations if any(self._station(one, *day) for day in self._day_pairs()))

    @cached_property
    def _changed_needs(self) -> frozenset[str]:
        editions = self.with_it.everybody.editions
        needs = {slug for edition in editions for slug in edition.program.needs}
        return frozenset(one for one in needs if any(self._need(one, *day) for day in self._day_pairs()))

    def _day_pairs(self) -> Iterator[tuple[Day, Day]]:
        return ((self.without.on(day), self.with_it.on(day)) for day in self.days)

    def _station(self, slug: str, before: Day, after: Day) -> bool:
        one, other = before.program.stations.get(slug), after.program.stations.get(slug)
        reached = before.column(slug).reached != after.column(slug).reached
        return reached or (one and one.activities) != (other and other.activities)

    def _need(self, slug: str, before: Day, after: Day) -> bool:
        one, other = before.program.needs.get(slug), after.program.needs.get(slug)
        return before.need(slug) != after.need(slug) or (one and one.activities) != (other and other.activities)

    def differences(self, station: str, participant: ParticipantFile) -> Iterator[tuple[date, Reached, Reached, int]]:
        """Yield the days on which the levels of some differ for the first time, both levels, and whose."""
        still = self.asked
        for day in self.days:
            before = self.without.column(station, participant, day).reached
            after = self.with_it.column(station, participant, day).reached
            differs = _differing(before, after) & still
            if differs:
                yield day, before, after, differs
                still ^= differs
            if not still:
                return


def _level(reached: Reached, place: int) -> Level:
    return Level(sum(bits >> place & 1 for bits in reached))


def _differing(before: Reached, after: Reached) -> int:
    """Return whose level is not the same by both."""
    found = 0
    if before != after:
        for one, other in zip_longest(before, after, fillvalue=0):
            found |= one ^ other
    return found


def _higher(some: Reached, others: Reached) -> int:
    """Return whose level is higher by the first than by the second."""
    found = 0
    for one, other in zip_longest(some, others, fillvalue=0):
        found |= one & ~other
    return found
