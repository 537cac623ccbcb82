"""Who would gain and who would lose for a support need by a proposed edition, and on which days to ask; pure."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import zip_longest

from mentor_training.clearance.bitmaps import bitmap, places_in
from mentor_training.clearance.everybody import Everybody
from mentor_training.clearance.matrix import Day
from mentor_training.program.catalog import Level, Need, Program, Station
from mentor_training.program.editions import PublishedProgram
from mentor_training.program.requirements import all_of, atoms_of


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


def need_changes(everybody: Everybody, people: Sequence[str], proposed: PublishedProgram) -> Iterator[NeedChange]:
    """Yield, for each volunteer and need, the first day on which the level on its ladder differs under the proposal.

    A need that only one of the two editions has counts as level 0 in the other: whoever has a need that the edition
    does not define is worked with by nobody.
    """
    without = everybody.with_people(people)
    with_it = without.under((*without.editions, proposed))
    places = {without.places[person]: person for person in people}
    needs = tuple(dict.fromkeys(slug for edition in with_it.editions for slug in edition.program.needs))
    still = dict.fromkeys(needs, bitmap(places, without.size))
    found: dict[tuple[int, str], NeedChange] = {}
    for day in days_to_ask(without, with_it, proposed.effective, lambda program: program.needs.values()):
        one, other = Day(without, day), Day(with_it, day)
        for need in needs:
            before, after = need_levels(one, need), need_levels(other, need)
            differs = _differing(before, after) & still[need]
            still[need] ^= differs
            for place in places_in(differs):
                levels = (Level(sum(bits >> place & 1 for bits in reached)) for reached in (before, after))
                found[place, need] = NeedChange(places[place], need, day, *levels)
    for place in places:
        yield from (found[place, need] for need in needs if (place, need) in found)


def days_for_stations(everybody: Everybody, people: Sequence[str], proposed: PublishedProgram) -> tuple[date, ...]:
    """Return the days on which a proposed edition can begin to make a difference at some station, the first first."""
    without = everybody.with_people(people)
    with_it = without.under((*without.editions, proposed))
    return days_to_ask(without, with_it, proposed.effective, lambda program: program.stations.values())


def days_to_ask(
    without: Everybody, with_it: Everybody, effective: date, things: Callable[[Program], Iterable[Station | Need]]
) -> tuple[date, ...]:
    """Return the days from an edition's effective day on that can make a difference: on all others it is as before.

    Those on which an edition takes effect, a pause begins or ends, or anything turns that the entry or the ladders of
    the things in question rest on.
    """
    first, last = effective.toordinal(), date.max.toordinal()
    found = {edition.effective for edition in with_it.editions if edition.effective >= effective} | {effective}
    for everybody in (without, with_it):
        turns = (day for _, track in everybody.pauses for day in track.days)
        found.update(date.fromordinal(day) for day in turns if first <= day <= last)
        for edition in everybody.editions:
            ladders = [thing.ladder for thing in things(edition.program)]
            wanted = all_of(edition.program.entry, *(rung for ladder in ladders for rung in ladder.rungs))
            for atom in atoms_of(wanted):
                turning = everybody.track(atom, edition).days
                found.update(date.fromordinal(day) for day in turning if first <= day <= last)
    return tuple(sorted(found))


def need_levels(day: Day, need: str) -> tuple[int, ...]:
    """Return who reaches which level on a need's ladder: nobody without the entry, or where there is no such need."""
    return tuple(bits & day.entered for bits in day.need(need))


def _differing(before: tuple[int, ...], after: tuple[int, ...]) -> int:
    found = 0
    for one, other in zip_longest(before, after, fillvalue=0):
        found |= one ^ other
    return found
