"""What the solver is asked: a floor, who stands, everybody's levels, and what is wished for; pure."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import numpy.typing as npt

from mentor_training.planning.rules import LEAD, Floor, Placed, leads_in
from mentor_training.program.catalog import Level

Levels = npt.NDArray[np.uint8]
# The levels of all the floor's volunteers, in its order, at a station: with a participant, or None.
LevelsAt = Callable[[str, str | None], Levels]


@dataclass(frozen=True)
class Question:
    """What a plan is to be found for.

    `standing` is placed already, each with the level of now, and stays. `favors` says how many reasons speak for a
    participant and a mentor working together in a block: they did so in the last session that both attended, and the
    participant wishes it. `lacking` is how many minutes a volunteer's required hours are still ahead, 0 or more.
    """

    floor: Floor
    levels_at: LevelsAt
    standing: tuple[Placed, ...] = ()
    favors: Mapping[tuple[str, str], int] = field(default_factory=dict)
    lacking: Mapping[str, int] = field(default_factory=dict)

    @cached_property
    def stations(self) -> tuple[str, ...]:
        """Return all stations of the session, duties too: who stands at one may still lack a mentor there."""
        return tuple(self.floor.stations)

    def together(self, participant: str) -> npt.NDArray[np.bool_]:
        """Return which of the floor's volunteers are not kept apart from a participant."""
        apart = self.floor.keep_apart.get(participant, ())
        if not apart:
            return np.ones(len(self.floor.volunteers), dtype=bool)
        return np.array([code not in apart for code in self.floor.volunteers], dtype=bool)

    def standing_in(self, block: int) -> tuple[Placed, ...]:
        """Return who stands in a block."""
        return tuple(one for one in self.standing if one.block == block)

    def block(self, number: int) -> BlockQuestion:
        """Return what is asked of one block."""
        busy = {code for at, code in self.floor.elsewhere if at == number}
        return BlockQuestion(self, number, self.standing_in(number), frozenset(busy))


@dataclass(frozen=True)
class BlockQuestion:
    """One block of it: who stands there, and who is in another session at its time.

    `cannot_lead` is who cannot lead in it, where those are not the same who cannot be a mentor.
    """

    question: Question
    number: int
    standing: tuple[Placed, ...]
    elsewhere: frozenset[str]
    cannot_lead: frozenset[str] | None = None

    @cached_property
    def closed(self) -> frozenset[str]:
        """Return the stations that are closed in it: nobody new is placed there."""
        return frozenset(slug for at, slug in self.question.floor.closed if at == self.number)

    @property
    def kind(self) -> tuple[object, ...]:
        """Return what makes two blocks the same question."""
        stands = {(one.station, one.mentor, one.role, one.participant, one.level) for one in self.standing}
        return (frozenset(stands), self.elsewhere, self.closed, self.cannot_lead)

    @cached_property
    def free(self) -> npt.NDArray[np.bool_]:
        """Return which of the floor's volunteers are nowhere yet."""
        return self._free_but_for(self.elsewhere)

    @cached_property
    def free_to_lead(self) -> npt.NDArray[np.bool_]:
        """Return which of them may lead, as far as they are nowhere yet."""
        return self.free if self.cannot_lead is None else self._free_but_for(self.cannot_lead)

    def _free_but_for(self, away: frozenset[str]) -> npt.NDArray[np.bool_]:
        busy = {one.mentor for one in self.standing} | away
        return np.array([code not in busy for code in self.question.floor.volunteers], dtype=bool)

    @cached_property
    def stays(self) -> Mapping[str, tuple[Placed, ...]]:
        """Return the mentors who stand with each participant, by participant."""
        found: dict[str, list[Placed]] = {}
        for one in self.standing:
            if one.participant:
                found.setdefault(one.participant, []).append(one)
        return {code: tuple(those) for code, those in found.items()}

    def still_wanted(self, participant: str, station: str) -> int:
        """Return how many cleared mentors a participant still takes at a station; 0 or fewer: none."""
        there = [one for one in self.stays.get(participant, ()) if one.level > Level.NOT_YET]
        return self.question.floor.wanted(participant, station) - len(there)

    @cached_property
    def asking(self) -> tuple[tuple[str, str], ...]:
        """Return every participant who still takes mentors, with each place where they can be, in their order."""
        floor, found = self.question.floor, []
        for participant in floor.participants:
            if participant in self.elsewhere:
                continue
            there = self.stays.get(participant)
            where = (there[0].station,) if there else floor.places
            known = (slug for slug in where if slug in floor.stations and slug not in self.closed)
            found += [(participant, slug) for slug in known if self.still_wanted(participant, slug) > 0]
        return tuple(found)

    def room(self, station: str) -> int:
        """Return how many more participants a place takes; none where it is closed."""
        if station in self.closed:
            return 0
        there = {one.participant for one in self.standing if one.station == station and one.participant}
        known = self.question.floor.stations[station]
        if known.is_duty and known.capacity == 0:
            return len(self.question.floor.participants)  # it has room for all
        return max(0, known.capacity - len(there))

    def leads(self, station: str) -> int:
        """Return how many stand there as lead and may lead."""
        return leads_in(one for one in self.standing if one.station == station)

    def supervised(self, station: str) -> int:
        """Return how many who stand there work supervised."""
        there = (one for one in self.standing if one.station == station and one.role != LEAD)
        return sum(one.level == Level.SUPERVISED for one in there)
