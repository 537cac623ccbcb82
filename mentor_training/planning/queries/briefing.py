"""What has to be said before the doors open: who is new, supervised, has a card to read, or is cleared no longer."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.calendar.rules import SessionFact
from mentor_training.calendar.tables import ProgramSession
from mentor_training.evidence.facts import ATTENDED
from mentor_training.evidence.queries import facts_of_kinds
from mentor_training.planning.closed import Spell
from mentor_training.planning.queries.closed import closed_spells
from mentor_training.planning.queries.plan import Fallen, Plan, fallen_of, gaps_of
from mentor_training.planning.queries.shadows import Shadowing, shadows_in
from mentor_training.planning.queries.supervised import Supervised, supervised_among
from mentor_training.planning.tables import Attendance


@dataclass(frozen=True)
class Unread:
    """A participant's card that volunteers who are placed with them have not read in its latest version."""

    participant: str
    volunteers: tuple[str, ...]


@dataclass(frozen=True)
class Ending:
    """Somebody who is placed, and whose level at a station ends with the day of the session."""

    volunteer: str
    stations: tuple[str, ...]


@dataclass(frozen=True)
class Briefing:
    """What is new, and what must be said, of a session's plan; in codes, for who may see them to be named."""

    supervised: tuple[Supervised, ...]
    first_day: tuple[str, ...]
    unread: tuple[Unread, ...]
    ending: tuple[Ending, ...]
    fallen: tuple[Fallen, ...]
    gaps: tuple[tuple[tuple[int, ...], tuple[str, ...]], ...]
    not_placed: tuple[str, ...]
    closed: tuple[Spell, ...]
    shadows: tuple[Shadowing, ...]

    @property
    def fallen_elsewhere(self) -> tuple[Fallen, ...]:
        """Return who is placed and no longer cleared, but at a closed station, which is said with its closing."""
        shut = {(block, one.station) for one in self.closed for block in one.blocks}
        placed = ((one, one.standing.placed) for one in self.fallen)
        return tuple(one for one, where in placed if (where.block, where.station) not in shut)

    def standing_at(self, spell: Spell) -> tuple[str, ...]:
        """Return who is placed at a station while it is closed."""
        placed = (one.standing.placed for one in self.fallen)
        here = (one.mentor for one in placed if one.station == spell.station and one.block in spell.blocks)
        return _once(here)


def briefing_of(db: Session, plan: Plan, known_at: datetime) -> Briefing:
    """Gather the briefing of an open session from its plan; the plan's gate has everybody loaded."""
    works = (one for one in plan.placed if (one.block, one.station) not in plan.floor.closed)
    known = [one for one in works if one.station in plan.program.stations]
    decided = [(one, plan.decide(one.mentor, one.station, one.participant)) for one in known]
    unread: dict[str, list[str]] = {}
    ending: dict[str, list[str]] = {}
    for one, decision in decided:
        if one.participant and any(ground.kind == "read_card" for ground in decision.grounds):
            unread.setdefault(one.participant, []).append(one.mentor)
        if decision.holds_through == plan.session.day:
            ending.setdefault(one.mentor, []).append(one.station)
    placed, shadows = {one.mentor for one in plan.placed}, shadows_in(db, plan)
    return Briefing(
        supervised_among(decided),
        new_at(db, plan.session, known_at),
        tuple(Unread(who, _once(those)) for who, those in sorted(unread.items())),
        tuple(Ending(who, _once(those)) for who, those in sorted(ending.items())),
        fallen_of(plan),
        _gaps(plan),
        tuple(who for who in plan.floor.volunteers if who not in placed | {one.person for one in shadows}),
        closed_spells(db, plan.session, known_at),
        shadows,
    )


def new_at(db: Session, session: SessionFact, known_at: datetime) -> tuple[str, ...]:
    """Return the expected volunteers who have come to no session before this one: it is their first day."""
    attended = facts_of_kinds(db, known_at, (ATTENDED,))
    earlier = (
        select(Attendance.code)
        .join(ProgramSession, ProgramSession.code == Attendance.session)
        .where(Attendance.kind == "volunteer", ProgramSession.day < session.day)
    )
    seen = set(db.scalars(earlier)) | {
        who for who, facts in attended.items() if any(fact.first_day < session.day for fact in facts)
    }
    return tuple(who for who in session.volunteers if who not in seen)


def _gaps(plan: Plan) -> tuple[tuple[tuple[int, ...], tuple[str, ...]], ...]:
    """Return the blocks that are open, with the participants who are without enough mentors in just these."""
    blocks: dict[str, list[int]] = {}
    for gap in gaps_of(plan):
        blocks.setdefault(gap.participant, []).append(gap.block)
    found: dict[tuple[int, ...], list[str]] = {}
    for who in sorted(blocks):
        found.setdefault(tuple(sorted(blocks[who])), []).append(who)
    return tuple((those, tuple(found[those])) for those in sorted(found))


def _once(those: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(those))
