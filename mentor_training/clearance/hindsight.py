"""Who was cleared then, as known then, beside what is known now, and what made the difference; pure."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from mentor_training.clearance.dossier import CardFrom, Dossier, ParticipantFile, ProfileFrom
from mentor_training.clearance.rules import level_on
from mentor_training.evidence.facts import ATTENDED, HOURS, RESTRICTED, STOOD_DOWN, Fact
from mentor_training.program.catalog import Level
from mentor_training.program.editions import PublishedProgram
from mentor_training.program.requirements import Hours, Item, all_of, atoms_of


@dataclass(frozen=True)
class Known:
    """What is known at a moment of one volunteer, of the program and, where one is asked about, of a participant."""

    dossier: Dossier
    participant: ParticipantFile | None = None

    @property
    def facts(self) -> Sequence[Fact]:
        """Return the volunteer's records."""
        return self.dossier.facts

    @property
    def editions(self) -> Sequence[PublishedProgram]:
        """Return the editions of the program."""
        return self.dossier.editions


@dataclass(frozen=True)
class Later:
    """Something that was recorded later: `kind` is record, edition, profile or card; `code` is what it is known by."""

    kind: str
    code: str
    value: Fact | PublishedProgram | ProfileFrom | CardFrom


@dataclass(frozen=True)
class Hindsight:
    """A level on a day as known then and as known now, and what was recorded in between and made the difference."""

    person: str
    station: str
    participant: str | None
    on: date
    then: Level
    now: Level
    later: tuple[Later, ...]

    @property
    def differs(self) -> bool:
        """Say whether the answer is another one now."""
        return self.then != self.now


def look_back(station: str, on: date, then: Known, now: Known) -> Hindsight:
    """Compare one volunteer's level at a station on a day as known at two moments, and name what made the difference.

    That is a set of things recorded in between with which, added to what was known then, the answer is that of now,
    and of which none can be left out. Of several that would do, those recorded earlier stand. A rule of this program.
    """
    before, after = _level(station, on, then), _level(station, on, now)
    who, whom = now.dossier.person, now.participant
    later = _difference(station, on, then, now, after) if before != after else ()
    return Hindsight(who, station, whom.code if whom else None, on, before, after, later)


def _difference(station: str, on: date, then: Known, now: Known, after: Level) -> tuple[Later, ...]:
    added = recorded_between(then, now)
    everything = frozenset(id(one.value) for one in added)

    def same(some: Sequence[Later]) -> bool:
        gone = everything.difference(id(one.value) for one in some)
        return _level(station, on, _without(now, gone)) == after

    likely = [one for one in added if _may_matter(one, station, now)]
    return tuple(_fewest(likely if same(likely) else added, same))


def _may_matter(later: Later, station: str, now: Known) -> bool:
    """Say whether something is worth trying first: of the records those about what is asked for, pauses, corrections.

    It is only a guess that saves work; whether these are enough is asked before it is relied on.
    """
    if not isinstance(later.value, Fact):
        return True
    fact = later.value
    if fact.refers_to or fact.kind in (STOOD_DOWN, RESTRICTED):
        return True
    asked = _asked_for(station, tuple(now.editions), now.participant)
    return fact.item.partition("@")[0] in asked or fact.kind in asked


@lru_cache(maxsize=256)
def _asked_for(
    station: str, editions: tuple[PublishedProgram, ...], participant: ParticipantFile | None
) -> frozenset[str]:
    """Return the items, and the kinds of record that count, that any edition asks for at a station or for a need."""
    found = {"card" if participant is None else f"card/{participant.code}"}
    for edition in editions:
        place = edition.program.stations.get(station)
        ladders = [place.ladder] if place else []
        ladders += [need.ladder for need in edition.program.needs.values()] if participant else []
        for atom in atoms_of(all_of(edition.program.entry, *(rung for ladder in ladders for rung in ladder.rungs))):
            found.add(atom.name if isinstance(atom, Item) else HOURS if isinstance(atom, Hours) else ATTENDED)
    return frozenset(found)


def recorded_between(then: Known, now: Known) -> tuple[Later, ...]:
    """Return what is known now and was not known then: editions, what was learned of the participant, records.

    What was known then is known now, in the same order: nothing recorded is ever changed or taken out.
    """
    codes = {fact.code for fact in then.facts}
    numbers = {edition.number for edition in then.editions}
    found = [Later("edition", str(one.number), one) for one in now.editions if one.number not in numbers]
    if then.participant and now.participant:
        name, known = now.participant.code, len(then.participant.profiles)
        found += [Later("profile", name, one) for one in now.participant.profiles[known:]]
        versions = {card.version for card in then.participant.cards}
        found += [
            Later("card", f"{name}@{one.version}", one) for one in now.participant.cards if one.version not in versions
        ]
    return (*found, *(Later("record", fact.code, fact) for fact in now.facts if fact.code not in codes))


def _level(station: str, on: date, known: Known) -> Level:
    return level_on(known.dossier, station, known.participant, on)


def _without(now: Known, gone: Collection[int]) -> Known:
    """Return what is known now without some of it, named by identity, each other thing in its place."""
    participant = now.participant
    if participant:
        participant = ParticipantFile(
            participant.code,
            tuple(one for one in participant.profiles if id(one) not in gone),
            tuple(one for one in participant.cards if id(one) not in gone),
        )
    dossier = Dossier(
        now.dossier.person,
        tuple(one for one in now.facts if id(one) not in gone),
        tuple(one for one in now.editions if id(one) not in gone),
    )
    return Known(dossier, participant)


def _fewest(later: Sequence[Later], same: Callable[[Sequence[Later]], bool]) -> Sequence[Later]:
    """Leave out what can be left out with the answer the same: in big pieces first, what was recorded last first."""
    kept, size = list(later), len(later)
    while size:
        smaller = _without_pieces(kept, size, same)
        # Something left out may let something else be left out that was needed before: only a round in which nothing
        # more goes is the last one.
        size = size // 2 if size > 1 or len(smaller) == len(kept) else 1
        kept = smaller
    return kept


def _without_pieces(later: list[Later], size: int, same: Callable[[Sequence[Later]], bool]) -> list[Later]:
    kept, end = later, len(later)
    while end > 0:
        start = max(0, end - size)
        rest = kept[:start] + kept[end:]
        if same(rest):
            kept = rest
        end = start
    return kept
