"""What a wall shows: which block is now and which is next, and how many stations stand on one screen; pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, time

from mentor_training.calendar.rules import BlockSpan, SessionFact

BEFORE, RUNNING, BETWEEN, AFTER, OTHER_DAY = "before", "running", "between", "after", "other_day"
MOST_ON_A_SCREEN, FEW_ON_A_SCREEN = 6, 3
# More names than these of one station and block are counted and not written.
MOST_NAMES = 20


@dataclass(frozen=True)
class Letters:
    """A size of letters: how many fit a line of a station, and how many lines it has while six stand on a screen.

    Measured in Chromium at 1280 by 720, with room to spare.
    """

    in_a_line: int
    lines: int


USUAL, LARGE = Letters(36, 10), Letters(27, 7)


@dataclass(frozen=True)
class Moment:
    """Where a session is at a time of its day: the block that runs, and the one that follows."""

    state: str
    now: BlockSpan | None
    next: BlockSpan | None


@dataclass(frozen=True)
class Crew:
    """Who is at a station in one block, by their short names; participants are a number.

    `is_closed` where the station was closed, by a record; `is_empty` where nobody is placed while others are elsewhere;
    `is_planned` is whether anybody is placed at all. Shadows watch, and make no station open.
    """

    leads: tuple[str, ...] = ()
    mentors: tuple[str, ...] = ()
    participants: int = 0
    lacks_lead: bool = False
    is_planned: bool = True
    is_closed: bool = False
    shadows: tuple[str, ...] = ()

    @property
    def is_empty(self) -> bool:
        """Say whether nobody works here in a block that is planned, though the station is not closed."""
        is_manned = self.leads or self.mentors or self.participants or self.lacks_lead
        return self.is_planned and not self.is_closed and not is_manned

    @property
    def shown(self) -> tuple[str, ...]:
        """Return the mentors whose names are written."""
        return self.mentors[:MOST_NAMES]

    @property
    def more(self) -> int:
        """Return how many are counted only."""
        return len(self.mentors) - len(self.shown)


@dataclass(frozen=True)
class Spot:
    """A station or duty on the wall, now and next."""

    title: str
    is_duty: bool
    now: Crew | None
    next: Crew | None


def moment_of_session(session: SessionFact, day: date, at: time) -> Moment:
    """Return where a session is on a day at a time, both the program's own; a block runs until its end is reached.

    On another day nothing is now, and its first block is next.
    """
    first = session.blocks[0] if session.blocks else None
    if day != session.day:
        return Moment(OTHER_DAY, None, first)
    now = next((block for block in session.blocks if block.starts <= at < block.ends), None)
    later = next((block for block in session.blocks if block.starts > at), None)
    if now:
        return Moment(RUNNING, now, later)
    if later:
        return Moment(BEFORE if later == first else BETWEEN, None, later)
    return Moment(AFTER, None, None)


def screens_of(spots: Sequence[Spot]) -> tuple[tuple[Spot, ...], ...]:
    """Return stations split into screens that can be read without scrolling; one empty screen where there are none."""
    most = MOST_ON_A_SCREEN if _fit(spots, USUAL) else FEW_ON_A_SCREEN
    return tuple(tuple(spots[at : at + most]) for at in range(0, len(spots), most)) or ((),)


def is_roomy(spots: Iterable[Spot]) -> bool:
    """Say whether so few names stand at every station that the letters may be larger."""
    return _fit(spots, LARGE)


def _fit(spots: Iterable[Spot], letters: Letters) -> bool:
    return all(_lines(spot, letters) <= letters.lines for spot in spots)


def _lines(spot: Spot, letters: Letters) -> int:
    """Return how many lines a station takes below its title: a head, the leads and the mentors of each block."""
    crews = [crew for crew in (spot.now, spot.next) if crew]
    return sum(
        2 + -(-len(", ".join(crew.leads)) // letters.in_a_line) + _of_names(crew, letters)
        + -(-len(_watching(crew)) // letters.in_a_line)
        for crew in crews
    )  # fmt: skip


def _watching(crew: Crew) -> str:
    return f"Only watching: {', '.join(crew.shadows)}" if crew.shadows else ""


def _of_names(crew: Crew, letters: Letters) -> int:
    return -(-len(", ".join(crew.shown)) // letters.in_a_line) - 1


def on_duty(spots: Iterable[Spot]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return who is on which duty now, or in the next block where none runs; duties that nobody has are left out."""
    found = ((spot.title, spot.now or spot.next) for spot in spots if spot.is_duty)
    return tuple((title, crew.shown) for title, crew in found if crew and crew.mentors)
