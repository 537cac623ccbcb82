"""Who loses which level, where, on which day, and because of what, if nothing more is recorded; pure."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from mentor_training.clearance.bitmaps import bitmap, places_in
from mentor_training.clearance.dossier import Dossier, Holdings, ParticipantFile
from mentor_training.clearance.matrix import Column, Day, Matrix
from mentor_training.clearance.rules import climb, grounds_of, ladder_for, level_on
from mentor_training.clearance.spans import NEXT_DAY, Span
from mentor_training.evidence.corrections import earliest, effects, months_later
from mentor_training.evidence.facts import ATTENDED, HOURS, VOIDED
from mentor_training.program.catalog import Level, Module, Paper, Skill, Station
from mentor_training.program.editions import PublishedProgram, in_force
from mentor_training.program.requirements import (
    AtLeast,
    Atom,
    Hours,
    Item,
    Requirement,
    all_of,
    atoms_of,
    is_met,
    smallest_missing,
)

NEVER = AtLeast(1, ())


@dataclass(frozen=True)
class Cause:
    """What makes a level fall.

    `kind` says how: ends (its own last day was the day before), withdrawn, retake (the module must be taken again),
    practice (the skill was not practiced), hours or sessions (some of them no longer count), stand_down, restriction,
    edition, needs (the participant's have changed), or a ground that only a pair has (keep_apart, read_card ...).
    `about` is the item, scope, participant, card or edition; `record` the record that ends or begins; `by` what ended
    it: the withdrawal, or the edition.
    """

    kind: str
    about: str
    record: str = ""
    by: str = ""


@dataclass(frozen=True)
class Lapse:
    """A level that falls: `day` is the first day on which it is lower."""

    person: str
    station: str
    participant: str | None
    day: date
    before: Level
    after: Level
    causes: tuple[Cause, ...]

    @property
    def last_day(self) -> date:
        """Return the last day of the higher level."""
        return self.day - NEXT_DAY


def lapses(
    dossier: Dossier, stations: Iterable[str], participant: ParticipantFile | None, on: date, days: int
) -> Iterator[Lapse]:
    """Yield each fall of one volunteer's level in the days after `on`, `days` of them, by station and then by day.

    A level falls on a day if it is lower than on the day before, by the rules and with nothing more recorded. Between
    two turning days nothing changes, so only those are asked. A rule of this program.
    """
    turning = turning_days(dossier, participant, on, on + timedelta(days=days))
    for station in stations:
        before = level_on(dossier, station, participant, on)
        for day in turning:
            after = level_on(dossier, station, participant, day)
            if after < before:
                causes = causes_of(dossier, station, participant, day)
                yield Lapse(
                    dossier.person, station, participant.code if participant else None, day, before, after, causes
                )
            before = after


def lapses_of_all(
    matrix: Matrix,
    dossier_of: Callable[[str], Dossier],
    people: Sequence[str],
    stations: Sequence[str],
    participant: ParticipantFile | None,
    on: date,
    days: int,
) -> Iterator[Lapse]:
    """Yield the same for many volunteers at once: day by day, in the order of the volunteers, then of the stations.

    Who falls is read from the matrix; only of those the reasons are looked for, one by one, in their dossiers.
    """
    places = {matrix.everybody.places[person]: person for person in people}
    asked = bitmap(places, matrix.everybody.size)
    order = {person: at for at, person in enumerate(people)}
    before = [matrix.on(on).column(slug, participant) for slug in stations]
    for ahead in range(1, days + 1):
        day = on + timedelta(days=ahead)
        of_day = Day(matrix.everybody, day)
        columns = [of_day.column(slug, participant) for slug in stations]
        fallen = [
            (order[places[place]], at)
            for at, (was, now) in enumerate(zip(before, columns, strict=True))
            for place in places_in(_fallen(was, now) & asked)
        ]
        for at_person, at in sorted(fallen):
            person, place = people[at_person], matrix.everybody.places[people[at_person]]
            causes = causes_of(dossier_of(person), stations[at], participant, day)
            levels = (Level(before[at].level(place)), Level(columns[at].level(place)))
            yield Lapse(person, stations[at], participant.code if participant else None, day, *levels, causes)
        before = columns


def _fallen(was: Column, now: Column) -> int:
    """Return those of whom some level that was reached no longer is."""
    fallen = 0
    for place, reached in enumerate(was.reached):
        fallen |= reached & ~(now.reached[place] if place < len(now.reached) else 0)
    return fallen


def turning_days(dossier: Dossier, participant: ParticipantFile | None, on: date, through: date) -> tuple[date, ...]:
    """Return the days after `on`, through a day, on which any of a volunteer's levels may change."""
    items = {item for edition in dossier.editions for item in dossier.history(edition).spans}
    found = set(dossier.turning_days(frozenset(items), counts=True))
    if participant:
        found.update(participant.turning_days())
    return tuple(sorted(day for day in found if on < day <= through))


def causes_of(dossier: Dossier, station: str, participant: ParticipantFile | None, day: date) -> tuple[Cause, ...]:
    """Return why the level on a day is lower than on the day before.

    Of several things that end together only those are named whose renewal, all of them, would have kept the level: the
    smallest set of them, of equal sets the one that stands earlier in the rung.
    """
    before = level_on(dossier, station, participant, day - NEXT_DAY)
    new = in_force(dossier.editions, day)
    without = Dossier(dossier.person, dossier.facts, tuple(one for one in dossier.editions if one.effective != day))
    if new is None or new.effective != day:
        return tuple(_under_one_edition(dossier, station, participant, day, before))
    kept = level_on(without, station, participant, day)
    by_edition = (Cause("edition", str(new.number)),)
    if kept >= before:
        return by_edition
    others = tuple(_under_one_edition(without, station, participant, day, before))
    fell_further = level_on(dossier, station, participant, day) < kept
    return by_edition + others if fell_further else others


def _under_one_edition(
    dossier: Dossier, station: str, participant: ParticipantFile | None, day: date, before: Level
) -> Iterator[Cause]:
    edition = in_force(dossier.editions, day)
    if edition is None:
        return
    place = edition.program.stations[station]
    yield from _new_grounds(dossier, edition, place, participant, day)
    holdings = Holdings(dossier.history(edition), day)
    ladder = ladder_for(edition.program, place, participant, day - NEXT_DAY)
    if participant:
        climbed = climb(ladder_for(edition.program, place, participant, day), holdings)
        if climbed < min(climb(ladder, holdings), before):
            yield Cause("needs", participant.code)
    for atom in _lost(all_of(edition.program.entry, *ladder.rungs[:before]), holdings):
        yield from _ends_of(atom, dossier, edition, day)


def _new_grounds(
    dossier: Dossier, edition: PublishedProgram, place: Station, participant: ParticipantFile | None, day: date
) -> Iterator[Cause]:
    """Yield the grounds of a zero other than the entry; the day before there was none."""
    for ground in grounds_of(dossier, edition, place, participant, day):
        if not isinstance(ground.about, str):
            continue
        if ground.kind in ("stand_down", "restriction"):
            yield Cause(ground.kind, ground.scope, record=ground.about)
        else:
            yield Cause(ground.kind, ground.about)


def _lost(required: Requirement, holdings: Holdings) -> tuple[Atom, ...]:
    """Return which of the atoms that were held the day before would have to be held still; smallest set."""
    before = Holdings(holdings.history, holdings.day - NEXT_DAY)
    if is_met(required, holdings.holds) or not is_met(required, lambda a: before.holds(a) or holdings.holds(a)):
        return ()
    never = {atom for atom in atoms_of(required) if not before.holds(atom) and not holdings.holds(atom)}
    return smallest_missing(_without(required, never), holdings.holds)


def _without(requirement: Requirement, never: set[Atom]) -> Requirement:
    """Return a requirement in which some atoms cannot be met, so that only what was lost is named."""
    if isinstance(requirement, AtLeast):
        return AtLeast(requirement.count, tuple(_without(part, never) for part in requirement.of))
    return NEVER if requirement in never else requirement


def _ends_of(atom: Atom, dossier: Dossier, edition: PublishedProgram, day: date) -> Iterator[Cause]:
    """Yield by which records an atom was held through the day before, or what took hours or sessions away."""
    if isinstance(atom, Item):
        span = dossier.history(edition).span_on(atom.name, day - NEXT_DAY)
        if span:
            yield _end_of(span, dossier, edition, day)
        return
    kind, counts, about = (HOURS, HOURS, atom.category) if isinstance(atom, Hours) else ("sessions", ATTENDED, "")
    for fact in dossier.facts:
        if fact.kind == counts and about in ("", fact.item):
            by = _withdrawal(dossier, fact.code, day)
            if by or (kind == HOURS and fact.first_day == day and int(fact.note or 0) < 0):
                yield Cause(kind, about, fact.code, by)


def _end_of(span: Span, dossier: Dossier, edition: PublishedProgram, day: date) -> Cause:
    """Say how a span ended on the day before a day."""
    fact = next(one for one in dossier.facts if one.code == span.record)
    by = _withdrawal(dossier, span.record, day)
    if by:
        return Cause("withdrawn", span.item, span.record, by)
    if earliest(fact.last_day, months_later(fact.first_day, _months(span.item, edition))) == span.last:
        return Cause("ends", span.item, span.record)
    if span.item.startswith("module/"):
        return Cause("retake", span.item, span.record, _retaken_by(span, dossier))
    return Cause("practice", span.item, span.record)


def _months(item: str, edition: PublishedProgram) -> int | None:
    kind, _, slug = item.partition("/")
    program = edition.program
    shelves: Mapping[str, Mapping[str, Module | Skill | Paper]]
    shelves = {"module": program.modules, "skill": program.skills, "paper": program.papers}
    found = shelves.get(kind, {}).get(slug)
    return found.good_for_months if found else None


def _withdrawal(dossier: Dossier, record: str, day: date) -> str:
    """Return the record that takes another one back from a day on; empty if none does."""
    effect = effects(dossier.facts)
    if effect.cut.get(record) != day - NEXT_DAY:
        return ""
    return next(
        fact.code
        for fact in dossier.facts
        if fact.refers_to == record and fact.first_day == day and fact.kind != VOIDED and fact.code not in effect.voided
    )


def _retaken_by(span: Span, dossier: Dossier) -> str:
    """Return the number of the edition that ended a completion of a module."""
    slug = span.item.removeprefix("module/")
    for edition in dossier.editions:
        module = edition.program.modules.get(slug)
        if module and module.must_retake and edition.effective + timedelta(days=module.grace_days) == span.last:
            return str(edition.number)
    return ""
