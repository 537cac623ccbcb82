"""Who falls out of clearance between a day and the last session of the calendar because a paper ends."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from itertools import groupby

from sqlalchemy.orm import Session

from mentor_training.calendar.queries import sessions
from mentor_training.calendar.rules import SessionFact
from mentor_training.clearance.lapses import Lapse
from mentor_training.clearance.queries import Gate
from mentor_training.clearance.questions import lapses_ahead, stations_ahead
from mentor_training.papers.queries import end_under, waiting
from mentor_training.people.tables import Person
from mentor_training.planning.queries.plan import standing_in
from mentor_training.planning.rules import Placed

PAPER = "paper/"


@dataclass(frozen=True)
class Hit:
    """A session where the volunteer is expected and has a lower level by then, and where they are placed already."""

    session: SessionFact
    placed: tuple[Placed, ...]


@dataclass(frozen=True)
class FallsOut:
    """What one volunteer loses on one day because papers end: `last_day` is the last day of the higher levels.

    `waits` are those of the papers of which one that ends later waits to be verified.
    """

    person: Person
    last_day: date
    papers: tuple[str, ...]
    waits: frozenset[str]
    falls: tuple[Lapse, ...]
    hits: tuple[Hit, ...]

    @property
    def first(self) -> SessionFact | None:
        """Return the first session that is hit."""
        return self.hits[0].session if self.hits else None


def last_session_day(db: Session, on: date) -> date | None:
    """Return the day of the calendar's last session, where it lies after a day."""
    coming = sessions(db, since=on)
    return coming[-1].day if coming and coming[-1].day > on else None


def falling_out(db: Session, gate: Gate, people: Sequence[Person], on: date) -> tuple[FallsOut, ...]:
    """Return who loses a level after a day and up to the last session because a paper ends, the first first.

    The falls are those of `lapses`, nothing else is computed; a session is hit where the level is lower on its day too.
    """
    last = last_session_day(db, on)
    if last is None or not people:
        return ()
    days, coming = (last - on).days, sessions(db, since=on)
    stations = stations_ahead(gate, on, days, None)
    ahead = lapses_ahead(db, gate, [one.code for one in people], stations, None, on, days)
    falls = [one.lapse for one in ahead if _papers(one.lapse)]
    placed = cache(lambda session: tuple(one.placed for one in standing_in(db, session)))
    waits = _waiting(db, gate, on)
    named = {one.code: one for one in people}
    return tuple(
        FallsOut(
            named[person], those[0].last_day, papers := tuple(dict.fromkeys(_papers_of(those))),
            frozenset(paper for paper in papers if waits.get((person, paper), date.min) > those[0].last_day), those,
            tuple(_hits(gate, those, coming, placed)),
        )
        for person, those in _together(falls)
    )  # fmt: skip


def _waiting(db: Session, gate: Gate, on: date) -> dict[tuple[str, str], date]:
    """Return through which day what waits of each paper of each volunteer would be in force at the latest."""
    found: dict[tuple[str, str], date] = {}
    for row in waiting(db):
        about, ends = (row.person, PAPER + row.paper), end_under(gate.edition(on).program, row) or date.max
        found[about] = max(ends, found.get(about, date.min))
    return found


def _together(falls: Iterable[Lapse]) -> Iterator[tuple[str, tuple[Lapse, ...]]]:
    """Put together what one volunteer loses on one day."""
    in_order = sorted(falls, key=lambda one: (one.day, one.person))
    for (_, person), those in groupby(in_order, key=lambda one: (one.day, one.person)):
        yield person, tuple(those)


def _papers(lapse: Lapse) -> list[str]:
    return [cause.about for cause in lapse.causes if cause.about.startswith(PAPER)]


def _papers_of(falls: Iterable[Lapse]) -> Iterator[str]:
    for fall in falls:
        yield from _papers(fall)


def _hits(
    gate: Gate, falls: Sequence[Lapse], coming: Iterable[SessionFact], placed: Callable[[str], tuple[Placed, ...]]
) -> Iterator[Hit]:
    person, stations = falls[0].person, {fall.station for fall in falls}
    for session in coming:
        if session.day >= falls[0].day and person in session.volunteers and _is_lower(gate, falls, session.day):
            yield Hit(
                session, tuple(one for one in placed(session.code) if one.mentor == person and one.station in stations)
            )


def _is_lower(gate: Gate, falls: Iterable[Lapse], day: date) -> bool:
    stations = gate.edition(day).program.stations
    return any(
        gate.decide(fall.person, fall.station, None, day).level < fall.before
        for fall in falls
        if fall.station in stations
    )
