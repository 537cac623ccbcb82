"""Everybody's answers, with all that one decision says but for what met it, read from the matrix; pure.

What is missing is worked out once for all volunteers who hold the same of the things that a ladder asks for.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from mentor_training.clearance.bitmaps import levels_in
from mentor_training.clearance.decision import Ground, reasons_of
from mentor_training.clearance.dossier import ParticipantFile
from mentor_training.clearance.lasting import Lasting
from mentor_training.clearance.matrix import Day, Matrix
from mentor_training.clearance.rules import applicable_needs, grounds_of, grounds_of_pair, ladder_for, missing_above
from mentor_training.program.catalog import Ladder, Level, Need, Program, Station
from mentor_training.program.requirements import Atom, Hours, all_of, atoms_of, smallest_missing

CELLS = 2_000_000  # so many answers are held at a time

Missing = Mapping[str, tuple[Atom, ...]]


class Seat:
    """What the volunteer at a place holds on a day, looked up in the sets of all."""

    def __init__(self, day: Day, person: str, place: int) -> None:
        self.day = day
        self.person = person
        self.place = place

    def holds(self, atom: Atom) -> bool:
        """Say whether an atom is held."""
        return bool(self.day.holding(atom) >> self.place & 1)

    def have(self, atom: Atom) -> float | int:
        """Return the hours (to two decimals) or sessions that are there."""
        everybody, on = self.day.everybody, self.day.day
        if isinstance(atom, Hours):
            return round(everybody.minutes(self.place, atom.category, on) / 60, 2)
        return everybody.sessions(self.place, on)


@dataclass(frozen=True)
class Answer:
    """One volunteer's level at a station, what is missing for each higher rung, every ground of a zero, until when."""

    person: str
    station: str
    participant: str | None
    level: Level
    holds_through: date | None
    missing: Missing
    grounds: tuple[Ground, ...]
    program: Program = field(repr=False, compare=False)
    holdings: Seat = field(repr=False, compare=False)

    def reasons(self) -> tuple[str, ...]:
        """Return, in words, why the level is no higher: every ground, then what the next rung asks for."""
        return reasons_of(self)


def answers(
    matrix: Matrix,
    people: Sequence[str],
    stations: Sequence[str],
    participants: Sequence[ParticipantFile | None],
    on: date,
) -> Iterator[Answer]:
    """Yield the answer for each volunteer, station and participant: by volunteer, then station, then participant.

    The day's edition must have the stations. Volunteers are taken in blocks, so that no more than so many answers are
    held at a time.
    """
    day, lasting = matrix.on(on), Lasting(matrix, on)
    asking = _Asking(day)
    block = max(1, CELLS // max(1, len(stations) * len(participants)))
    for start in range(0, len(people), block):
        seats = [Seat(day, person, day.everybody.places[person]) for person in people[start : start + block]]
        columns = [_Column(day, lasting, one, whom, seats) for one in stations for whom in participants]
        for row, seat in enumerate(seats):
            for column in columns:
                yield asking.answer(column, row, seat)


class _Column:
    """The levels and last days of some volunteers at one station, with one participant."""

    def __init__(
        self, day: Day, lasting: Lasting, station: str, participant: ParticipantFile | None, seats: Sequence[Seat]
    ) -> None:
        levels, last_days = day.column(station, participant).levels(), lasting.last_days(station, participant)
        self.station = day.program.stations[station]
        self.participant = participant
        self.levels = [int(levels[seat.place]) for seat in seats]
        self.last_days = [last_days[seat.place] for seat in seats]
        self.ladder = ladder_for(day.program, self.station, participant, day.day)
        needs = applicable_needs(day.program, self.station, participant, day.day) if participant else ()
        self.parts: tuple[Station | Need, ...] = (self.station, *needs)
        self.name = tuple(part.slug for part in self.parts)


class _Asking:
    """Finds what is missing and why, and remembers it for the next who holds the same."""

    def __init__(self, day: Day) -> None:
        self.day = day
        self._missing: dict[tuple[tuple[str, ...], int, tuple[str, ...]], Missing] = {}
        self._entry: dict[str, tuple[Atom, ...]] = {}
        self._held: dict[tuple[type, str], list[str]] = {}

    def answer(self, column: _Column, row: int, seat: Seat) -> Answer:
        """Return one volunteer's answer."""
        level = column.levels[row]
        return Answer(
            person=seat.person,
            station=column.station.slug,
            participant=column.participant.code if column.participant else None,
            level=Level(level),
            holds_through=column.last_days[row],
            missing=self._missing_above(column, level, seat) if level < column.ladder.top else {},
            grounds=() if level else self._grounds(column, seat),
            program=self.day.program,
            holdings=seat,
        )

    def _missing_above(self, column: _Column, level: int, seat: Seat) -> Missing:
        held = tuple(self._holding(type(part), part.slug, part.ladder)[seat.place] for part in column.parts)
        key = (column.name, level, held)
        if key not in self._missing:
            self._missing[key] = missing_above(column.ladder, level, seat.holds)
        return self._missing[key]

    def _grounds(self, column: _Column, seat: Seat) -> tuple[Ground, ...]:
        dossier = self.day.everybody.apart.get(seat.place)
        if dossier:
            return tuple(grounds_of(dossier, self.day.edition, column.station, column.participant, self.day.day))
        found = []
        if not self.day.entered >> seat.place & 1:
            found.append(Ground("entry", self._missing_of_entry(seat)))
        if column.participant:
            found += grounds_of_pair(seat.person, self.day.program, seat.holds, column.participant, self.day.day)
        return tuple(found)

    def _missing_of_entry(self, seat: Seat) -> tuple[Atom, ...]:
        entry = self.day.program.entry
        held = self._holding(Program, "", Ladder((entry,)))[seat.place]
        if held not in self._entry:
            self._entry[held] = smallest_missing(entry, seat.holds)
        return self._entry[held]

    def _holding(self, kind: type, slug: str, ladder: Ladder) -> list[str]:
        """Return, for each place, which of the atoms that a ladder asks for are held: a digit for each."""
        if (kind, slug) not in self._held:
            size = self.day.everybody.size
            digits = [levels_in((self.day.holding(atom),), size) for atom in atoms_of(all_of(*ladder.rungs))]
            self._held[kind, slug] = ["".join(one) for one in zip(*digits, strict=True)] if digits else [""] * size
        return self._held[kind, slug]
