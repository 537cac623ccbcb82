"""One decision: the level of one volunteer at one station, or there with one participant, on one day, and why; pure."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import date, timedelta

from mentor_training.clearance.decision import Decision, Ground
from mentor_training.clearance.dossier import Dossier, Holdings, ParticipantFile
from mentor_training.clearance.spans import Pause, Span
from mentor_training.errors import NotFound
from mentor_training.evidence.facts import STOOD_DOWN
from mentor_training.program.catalog import RUNG_NAMES, Ladder, Level, Need, Program, Station
from mentor_training.program.editions import PublishedProgram, in_force
from mentor_training.program.requirements import (
    Atom,
    Item,
    Requirement,
    all_of,
    atoms_of,
    is_met,
    smallest_missing,
)

# Whoever is held off by anything but an unread or overdue card is not to be on the floor as a shadow either.
STILL_A_SHADOW = ("read_card", "review_overdue")


def decide(dossier: Dossier, station: str, participant: ParticipantFile | None, on: date) -> Decision:
    """Decide for one volunteer at a station (or duty), with a participant where one is given, on a day.

    Raises NotFound when no edition is in force that day or it has no such station. A rule of this program, as
    its design fixes it: the level is the highest rung such that it and all below are met; with a participant the
    smallest of the station's and of those of the needs that apply there, whose top rung does not cap; 0 on any ground.
    """
    edition = in_force(dossier.editions, on)
    if edition is None:
        raise NotFound(f"edition of the program in force on {on}")
    if station not in edition.program.stations:
        raise NotFound(f"station {station} in edition {edition.number}")
    place = edition.program.stations[station]
    holdings = Holdings(dossier.history(edition), on)
    ladder = ladder_for(edition.program, place, participant, on)
    grounds = tuple(grounds_of(dossier, edition, place, participant, on))
    climbed = climb(ladder, holdings)
    level = Level.NOT_YET if grounds else climbed
    return Decision(
        person=dossier.person,
        station=station,
        participant=participant.code if participant else None,
        on=on,
        edition=edition.number,
        level=level,
        met=tuple(_met(edition.program.entry, ladder, climbed, holdings)),
        missing=missing_above(ladder, level, holdings.holds),
        grounds=grounds,
        holds_through=holds_through(dossier, station, participant, on, level),
        program=edition.program,
        holdings=holdings,
        is_shadow=level == Level.NOT_YET and all(ground.kind in STILL_A_SHADOW for ground in grounds),
    )


def level_on(dossier: Dossier, station: str, participant: ParticipantFile | None, on: date) -> Level:
    """Return the level alone; 0 where no edition is in force or it has no such station."""
    edition = in_force(dossier.editions, on)
    if edition is None or station not in edition.program.stations:
        return Level.NOT_YET
    place = edition.program.stations[station]
    if next(grounds_of(dossier, edition, place, participant, on), None):
        return Level.NOT_YET
    return climb(ladder_for(edition.program, place, participant, on), Holdings(dossier.history(edition), on))


def ladder_for(program: Program, station: Station, participant: ParticipantFile | None, on: date) -> Ladder:
    """Return the ladder that counts: the station's, each rung joined by that of every need that applies there.

    Above a need's own top rung its top stands in, so that it caps nobody who has climbed it.
    """
    if participant is None:
        return station.ladder
    needs = applicable_needs(program, station, participant, on)
    return Ladder(
        tuple(
            all_of(rung, *(need.ladder.rungs[min(place, need.ladder.top - 1)] for need in needs))
            for place, rung in enumerate(station.ladder.rungs)
        )
    )


def applicable_needs(program: Program, station: Station, participant: ParticipantFile, on: date) -> tuple[Need, ...]:
    """Return the participant's needs that apply at a station on a day, in the order of their profile.

    A need that the edition does not define has no ladder; it is a ground of a zero, see `grounds_of`.
    """
    found = (program.needs.get(slug) for slug in participant.needs_on(on))
    return tuple(need for need in found if need and need.applies_at(station))


def climb(ladder: Ladder, holdings: Holdings) -> Level:
    """Return the highest rung such that it and all rungs below it are met; 0 if none."""
    level = Level.NOT_YET
    for place, rung in enumerate(ladder.rungs, 1):
        if not is_met(rung, holdings.holds):
            break
        level = Level(place)
    return level


def grounds_of(
    dossier: Dossier, edition: PublishedProgram, station: Station, participant: ParticipantFile | None, on: date
) -> Iterator[Ground]:
    """Yield every ground on which the level is 0 in any case."""
    holdings = Holdings(dossier.history(edition), on)
    if not is_met(edition.program.entry, holdings.holds):
        yield Ground("entry", smallest_missing(edition.program.entry, holdings.holds))
    for pause in holdings.history.pauses:
        if pause.covers(on) and (in_scope(pause, station) or is_unknown_scope(pause, dossier.editions)):
            yield Ground("stand_down" if pause.kind == STOOD_DOWN else "restriction", pause.record, pause.scope)
    if participant:
        yield from grounds_of_pair(dossier.person, edition.program, holdings.holds, participant, on)


def grounds_of_pair(
    person: str, program: Program, holds: Callable[[Atom], bool], participant: ParticipantFile, on: date
) -> Iterator[Ground]:
    """Yield every ground that lies in the pair and not in the volunteer alone."""
    profile = participant.profile_on(on)
    if profile is None:
        yield Ground("not_begun", participant.code)
        return
    for slug in profile.needs:
        if slug not in program.needs:
            yield Ground("unknown_need", slug)
    if person in profile.keep_apart:
        yield Ground("keep_apart", participant.code)
    card = participant.card_on(on)
    if card is None:
        return
    name = f"{participant.code}@{card.version}"
    if not holds(Item(f"card/{name}")):
        yield Ground("read_card", name)
    if on > card.review_by:
        yield Ground("review_overdue", name)


def in_scope(pause: Pause, station: Station) -> bool:
    """Say whether a stand-down or restriction bites at a station: for all, for it, or for an activity it has."""
    if not pause.scope or pause.scope == station.slug:
        return True
    return pause.scope.startswith("activity/") and pause.scope.removeprefix("activity/") in station.activities


def is_unknown_scope(pause: Pause, editions: Sequence[PublishedProgram]) -> bool:
    """Say whether a pause names a scope that no known edition has: whatever was meant, it then holds everywhere."""
    if not pause.scope:
        return False
    stations = [station for edition in editions for station in edition.program.stations.values()]
    return not any(in_scope(pause, station) for station in stations)


def _rungs_through(ladder: Ladder, level: int) -> Requirement:
    return all_of(*ladder.rungs[:level])


def _met(entry: Requirement, ladder: Ladder, level: Level, holdings: Holdings) -> Iterator[Span]:
    """Yield what is held of the entry and of the rungs climbed, waivers named as such."""
    for atom in atoms_of(all_of(entry, *ladder.rungs[:level])):
        span = holdings.history.span_on(atom.name, holdings.day) if isinstance(atom, Item) else None
        if span:
            yield span


def missing_above(ladder: Ladder, level: int, holds: Callable[[Atom], bool]) -> dict[str, tuple[Atom, ...]]:
    """Return, for each rung above a level, the smallest set of atoms that would meet it and every rung below it."""
    return {
        RUNG_NAMES[Level(rung)]: smallest_missing(_rungs_through(ladder, rung), holds)
        for rung in range(level + 1, ladder.top + 1)
    }


def holds_through(
    dossier: Dossier, station: str, participant: ParticipantFile | None, on: date, level: Level
) -> date | None:
    """Return the last day up to which the level stays at least this on every day if nothing more is recorded.

    None is open-ended, and also what a level of 0 has. Between two turning days nothing changes, so only those are
    asked.
    """
    if level == Level.NOT_YET:
        return None
    for day in sorted({day for day in _turning_days(dossier, station, participant) if day > on}):
        if level_on(dossier, station, participant, day) < level:
            return day - timedelta(days=1)
    return None


def _turning_days(dossier: Dossier, station: str, participant: ParticipantFile | None) -> Iterator[date]:
    atoms: set[Atom] = set()
    for edition in dossier.editions:
        place = edition.program.stations.get(station)
        if place is None:
            continue
        atoms.update(atoms_of(edition.program.entry))
        for rung in place.ladder.rungs:
            atoms.update(atoms_of(rung))
        for profile in participant.profiles if participant else ():
            for need in (edition.program.needs[slug] for slug in profile.needs if slug in edition.program.needs):
                for rung in need.ladder.rungs:
                    atoms.update(atoms_of(rung))
    items = {atom.name for atom in atoms if isinstance(atom, Item)}
    if participant:
        items.update(f"card/{participant.code}@{card.version}" for card in participant.cards)
        yield from participant.turning_days()
    yield from dossier.turning_days(frozenset(items), counts=any(not isinstance(atom, Item) for atom in atoms))
