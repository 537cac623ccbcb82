"""Everyone at once: the same levels as one decision gives, for all volunteers in one go; pure.

Each condition is a set of volunteers, kept as one whole number, and a level is what is left when they are combined
with `&` and `|`. One column answers for all volunteers at one station, or there with one participant.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import cached_property

from mentor_training.clearance.bitmaps import bitmap, everyone, levels_in, met_by
from mentor_training.clearance.dossier import ParticipantFile
from mentor_training.clearance.everybody import Everybody
from mentor_training.clearance.rules import applicable_needs, in_scope, is_unknown_scope
from mentor_training.clearance.tracks import Track
from mentor_training.program.catalog import Ladder, Program, Station
from mentor_training.program.editions import PublishedProgram, in_force
from mentor_training.program.requirements import ALWAYS, Atom, Item, Requirement

NOTHING_PUBLISHED = PublishedProgram(0, date.min, datetime.min.replace(tzinfo=UTC), "", Program("", ALWAYS))


@dataclass(frozen=True)
class Column:
    """Who has reached which level: `reached[n]` is the set of those of level n + 1 or higher."""

    station: str
    participant: str | None
    reached: tuple[int, ...]
    size: int

    def level(self, place: int) -> int:
        """Return the level of the volunteer at a place."""
        return sum(bits >> place & 1 for bits in self.reached)

    def levels(self) -> str:
        """Return the levels of all volunteers, a digit for each place."""
        return levels_in(self.reached, self.size)

    def exactly(self) -> list[int]:
        """Return the set of those of each level from 1 up."""
        above = (*self.reached[1:], 0)
        return [bits & ~more for bits, more in zip(self.reached, above, strict=True)] if self.reached else []

    def counts(self, among: int | None = None) -> tuple[int, int, int, int]:
        """Return how many volunteers, of all or of some, have level 0, 1, 2 and 3."""
        asked = everyone(self.size) if among is None else among
        reached = [bits & asked for bits in self.reached] + [0] * (4 - len(self.reached))
        first, second, third, _ = (bits.bit_count() for bits in reached)
        return asked.bit_count() - first, first - second, second - third, third


class Matrix:
    """The levels of everybody at every station, alone or with participants, on any day."""

    def __init__(self, everybody: Everybody) -> None:
        self.everybody = everybody
        self._days: dict[date, Day] = {}

    def on(self, day: date) -> Day:
        """Return one day of it; what was worked out for that day is kept."""
        if day not in self._days:
            self._days[day] = Day(self.everybody, day)
        return self._days[day]

    def column(self, station: str, participant: ParticipantFile | None, day: date) -> Column:
        """Return everybody's level at a station, with a participant where one is given, on a day.

        Level 0 for all where no edition is in force or it has no such station.
        """
        return self.on(day).column(station, participant)

    def series(self, station: str, participant: ParticipantFile | None, days: Iterable[date]) -> Iterator[Column]:
        """Yield the columns of a series of days; nothing of a day is kept once its column was taken."""
        for day in days:
            yield Day(self.everybody, day).column(station, participant)

    def tiles(
        self, stations: Sequence[str], participants: Sequence[ParticipantFile], day: date, wide: int = 64
    ) -> Iterator[tuple[Column, ...]]:
        """Yield the columns of every station with every participant, by tiles of so many: never the whole cube."""
        of_day = self.on(day)
        for station in stations:
            for start in range(0, len(participants), wide):
                yield tuple(of_day.column(station, one) for one in participants[start : start + wide])


class Day:
    """Everybody on one day, under the edition in force."""

    def __init__(self, everybody: Everybody, day: date) -> None:
        self.everybody = everybody
        self.edition = in_force(everybody.editions, day) or NOTHING_PUBLISHED
        self.program = self.edition.program
        self.day = day
        self.ordinal = day.toordinal()
        self.all = everyone(everybody.size)
        self._held: dict[Atom, int] = {}
        self._stations: dict[str, tuple[int, ...]] = {}
        self._needs: dict[str, tuple[int, ...]] = {}

    def column(self, station: str, participant: ParticipantFile | None = None) -> Column:
        """Return everybody's level at a station, with a participant where one is given."""
        reached = self._at(station)
        if participant is not None and reached:
            reached = self._with(participant, station, reached)
        return Column(station, participant.code if participant else None, reached, self.everybody.size)

    def holding(self, atom: Atom) -> int:
        """Return who holds an atom."""
        found = self._held.get(atom)
        if found is None:
            found = self._held[atom] = self.everybody.track(atom, self.edition).on(self.ordinal)
        return found

    def meeting(self, requirement: Requirement) -> int:
        """Return who meets a requirement."""
        return met_by(requirement, self.holding, self.all)

    def _at(self, slug: str) -> tuple[int, ...]:
        if slug not in self._stations:
            station = self.program.stations.get(slug)
            self._stations[slug] = self._climbed(station.ladder, self._free_at(station)) if station else ()
        return self._stations[slug]

    def _free_at(self, station: Station) -> int:
        """Return who meets the entry and is not paused at a station."""
        paused = 0
        for track in pauses_at(self.everybody, station):
            paused |= track.on(self.ordinal)
        return self.entered & ~paused

    @cached_property
    def entered(self) -> int:
        """Return who meets the entry."""
        return self.meeting(self.program.entry)

    def _climbed(self, ladder: Ladder, who: int) -> tuple[int, ...]:
        reached = []
        for rung in ladder.rungs:
            who &= self.meeting(rung) if who else 0
            reached.append(who)
        return tuple(reached)

    def need(self, slug: str) -> tuple[int, ...]:
        """Return who climbs how far on a need's ladder, whatever the entry; none where there is no such need."""
        if slug not in self._needs:
            found = self.program.needs.get(slug)
            self._needs[slug] = self._climbed(found.ladder, self.all) if found else ()
        return self._needs[slug]

    def _with(self, participant: ParticipantFile, slug: str, reached: tuple[int, ...]) -> tuple[int, ...]:
        """Return who reaches which level with a participant: a need's top rung stands in above it, and caps nobody."""
        who = self._not_held_off(participant)
        if not who:
            return (0,) * len(reached)
        station = self.program.stations[slug]
        applicable = applicable_needs(self.program, station, participant, self.day)
        needs = [self.need(need.slug) for need in applicable]
        together = []
        for place, at_station in enumerate(reached):
            who &= at_station
            for need in needs:
                if place < len(need):
                    who &= need[place]
            together.append(who)
        return tuple(together)

    def _not_held_off(self, participant: ParticipantFile) -> int:
        """Return whom no ground of the pair keeps at 0: those not kept apart, with the card in force read."""
        profile, card = participant.profile_on(self.day), participant.card_on(self.day)
        if profile is None or any(slug not in self.program.needs for slug in profile.needs):
            return 0
        if card and self.day > card.review_by:
            return 0
        who = self.holding(Item(f"card/{participant.code}@{card.version}")) if card else self.all
        places = self.everybody.places
        return who & ~bitmap((places[code] for code in profile.keep_apart if code in places), self.everybody.size)


def pauses_at(everybody: Everybody, station: Station) -> list[Track]:
    """Return who is paused at a station on which days, scope by scope; one that no edition knows holds everywhere."""
    return [
        track
        for pause, track in everybody.pauses
        if in_scope(pause, station) or is_unknown_scope(pause, everybody.editions)
    ]
