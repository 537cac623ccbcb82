"""Who comes to which blocks of a session, by what was said, and which placements that leaves to be decided on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from sqlalchemy.orm import Session

from mentor_training.calendar.availability import PARTICIPANT, PERSON, Said, blocks_missed, deciding
from mentor_training.calendar.queries import said, terms
from mentor_training.calendar.rules import SessionFact
from mentor_training.calendar.terms import term_of
from mentor_training.planning.queries.coming import came_to

Place = tuple[int, str]


@dataclass(frozen=True)
class Attending:
    """Who does not come in which block, as pairs of a block and a code, and what was said that decides it.

    `missed` are participants, `unavailable` volunteers and observers; by `decided` it can be told who said so, and
    when.
    """

    missed: frozenset[Place] = frozenset()
    unavailable: frozenset[Place] = frozenset()
    decided: Mapping[tuple[str, str], Said] = field(default_factory=dict)

    def blocks_without(self, code: str) -> tuple[int, ...]:
        """Return the blocks in which somebody does not come, in their order."""
        return tuple(sorted(block for block, who in self.missed | self.unavailable if who == code))


def attending(db: Session, session: SessionFact, known_at: datetime) -> Attending:
    """Return who does not come in which block of a session, as known at a moment.

    Whoever was checked in though they were not to come at all is there. Asked of everybody of whom something was said,
    whether they are expected or not.
    """
    there = terms(db)
    term = term_of(there, session.day)
    about = {session.code, session.day.isoformat(), *([term.code] if term else [])}
    spoken = said(db, known_at, which=about)
    found = {
        key: decided
        for key in {(one.kind, one.code) for one in spoken}
        if (decided := deciding(spoken, *key, session, there))
    }
    came = {code for _, code in came_to(db, session.code)} if found else set()
    gone: dict[str, set[Place]] = {PARTICIPANT: set(), PERSON: set()}
    for (kind, code), decided in found.items():
        blocks = blocks_missed(decided, session)
        if code not in came or len(blocks) < len(session.blocks):
            gone[kind].update((block, code) for block in blocks)
    return Attending(frozenset(gone[PARTICIPANT]), frozenset(gone[PERSON]), found)
