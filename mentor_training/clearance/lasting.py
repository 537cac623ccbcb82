"""Until when everybody's levels hold, without asking each day for each volunteer; pure.

A level can fall only on a day on which somebody loses one of the things it rests on. So those days are walked once for
all volunteers of a station, and only with those who have not fallen yet.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from mentor_training.clearance.bitmaps import met_by, places_in
from mentor_training.clearance.dossier import ParticipantFile
from mentor_training.clearance.matrix import Matrix, pauses_at
from mentor_training.clearance.rules import applicable_needs
from mentor_training.clearance.tracks import Turns
from mentor_training.program.catalog import Station
from mentor_training.program.editions import PublishedProgram
from mentor_training.program.requirements import AtLeast, Item, Requirement, atoms_of


class Lasting:
    """The days on which the levels of one day fall, through a last day where only those until then are wanted."""

    def __init__(self, matrix: Matrix, on: date, until: date | None = None) -> None:
        self.matrix = matrix
        self.everybody = matrix.everybody
        self.on = on
        self.until = (until or date.max).toordinal()
        self._of_requirement: dict[tuple[int, int], list[Turns]] = {}
        self._of_station: dict[tuple[int, str], list[list[Turns]]] = {}

    def last_days(self, station: str, participant: ParticipantFile | None = None) -> list[date | None]:
        """Return, by place, the last day up to which each level stays at least this on every day.

        None where it is open-ended (or lasts beyond the days wanted), and where the level is 0.
        """
        found: list[date | None] = [None] * self.everybody.size
        for ordinal, fallen in self.falls(station, participant).items():
            last_day = date.fromordinal(ordinal - 1)
            for place in places_in(fallen):
                found[place] = last_day
        return found

    def falls(self, station: str, participant: ParticipantFile | None = None) -> dict[int, int]:
        """Return whose level falls on which day for the first time; who has level 0, or keeps it, is left out.

        The edition, a profile, a card and its review change for all at once: on their days all are asked anew.
        """
        standing = self.matrix.column(station, participant, self.on).exactly()
        fallen: dict[int, int] = {}
        start = self.on
        for turn in (*self._turns(participant), None):
            end = turn.toordinal() if turn else self.until + 1
            losses = self._losses_at(station, participant, start)
            for ordinal, lost in _walk(losses, standing, start.toordinal(), min(end, self.until + 1)):
                fallen[ordinal] = fallen.get(ordinal, 0) | lost
            if turn is None or end > self.until or not any(standing):
                break
            lost = self._lost_at_turn(station, participant, turn, standing)
            if lost:
                fallen[end] = fallen.get(end, 0) | lost
            start = turn
        return fallen

    def _turns(self, participant: ParticipantFile | None) -> list[date]:
        days = {edition.effective for edition in self.everybody.editions}
        if participant:
            days.update(participant.turning_days())
        return sorted(day for day in days if day > self.on)

    def _lost_at_turn(self, station: str, participant: ParticipantFile | None, day: date, standing: list[int]) -> int:
        """Take those out of `standing` who have less on a day, and return them."""
        reached = self.matrix.column(station, participant, day).reached
        lost_by_any = 0
        for place, who in enumerate(standing):
            lost = who & ~(reached[place] if place < len(reached) else 0)
            standing[place] ^= lost
            lost_by_any |= lost
        return lost_by_any

    def _losses_at(self, slug: str, participant: ParticipantFile | None, day: date) -> list[list[Turns]]:
        """Return, rung by rung, what can be lost at a station, and with a participant, by what is in force on a day."""
        edition = self.matrix.on(day).edition
        station = edition.program.stations.get(slug)
        if station is None:
            return []
        by_rung = self._losses_of_station(edition, station)
        if participant is None:
            return by_rung
        needs = applicable_needs(edition.program, station, participant, day)
        together = [
            [*own, *(loss for need in needs for loss in self._losses(edition, need.ladder.rungs[place : place + 1]))]
            for place, own in enumerate(by_rung)
        ]
        card = participant.card_on(day)
        if card:
            read = self.everybody.track(Item(f"card/{participant.code}@{card.version}"), edition)
            together[0].append(read.losses)
        return together

    def _losses_of_station(self, edition: PublishedProgram, station: Station) -> list[list[Turns]]:
        key = (edition.number, station.slug)
        if key not in self._of_station:
            paused = [track.gains for track in pauses_at(self.everybody, station)]
            first = [*paused, *self._losses(edition, (edition.program.entry,))]
            rungs = [self._losses(edition, (rung,)) for rung in station.ladder.rungs]
            self._of_station[key] = [[*first, *rungs[0]], *rungs[1:]] if rungs else []
        return self._of_station[key]

    def _losses(self, edition: PublishedProgram, requirements: Sequence[Requirement]) -> list[Turns]:
        """Return what can be lost of some requirements, part by part where all parts are wanted."""
        found: list[Turns] = []
        for requirement in requirements:
            key = (edition.number, id(requirement))
            if key not in self._of_requirement:
                self._of_requirement[key] = list(self._parts(edition, requirement))
            found += self._of_requirement[key]
        return found

    def _parts(self, edition: PublishedProgram, requirement: Requirement) -> Iterator[Turns]:
        if not isinstance(requirement, AtLeast):
            yield self.everybody.track(requirement, edition).losses
        elif requirement.count == len(requirement.of):
            yield from self._losses(edition, requirement.of)
        elif requirement.count > 0:
            yield self._unmet(edition, requirement)

    def _unmet(self, edition: PublishedProgram, requirement: Requirement) -> Turns:
        """Return, for each day on which an atom of a choice is lost, who does not meet the choice on that day."""
        tracks = {atom: self.everybody.track(atom, edition) for atom in atoms_of(requirement)}
        start, end = self.on.toordinal(), self.until + 1
        days = {day for track in tracks.values() for day in track.losses.between(start, end)}
        everyone = self.matrix.on(self.on).all

        def met_on(day: int) -> int:
            return met_by(requirement, lambda atom: tracks[atom].on(day), everyone)

        return Turns.of({day: everyone & ~met_on(day) for day in days})


def _walk(losses: list[list[Turns]], standing: list[int], start: int, end: int) -> Iterator[tuple[int, int]]:
    """Take out of `standing`, on each day between two others, who loses what their level rests on, and yield them.

    A later edition may have more rungs than anybody stood on; they matter to nobody.
    """
    days = {day for rung in losses for loss in rung for day in loss.between(start, end)}
    for day in sorted(days):
        if not any(standing):
            return
        lost = fallen = 0
        for place, rung in enumerate(losses[: len(standing)]):
            for loss in rung:
                lost |= loss.who.get(day, 0)
            if hit := standing[place] & lost:
                standing[place] ^= hit
                fallen |= hit
        if fallen:
            yield day, fallen
