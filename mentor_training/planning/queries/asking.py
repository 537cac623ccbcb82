"""What the solver is asked of a session: everybody's levels at once, who worked with whom, whose hours lack."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime

import numpy as np
from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.calendar.rules import SessionFact
from mentor_training.calendar.tables import ProgramSession
from mentor_training.clearance.matrix import Matrix
from mentor_training.hours.queries import logs_of
from mentor_training.people.queries import volunteers
from mentor_training.planning.queries.plan import Plan
from mentor_training.planning.rules import Floor
from mentor_training.planning.solver.question import Levels, LevelsAt, Question
from mentor_training.planning.tables import Attendance, Closing, Placement

# The hours of a session are of this category.
CATEGORY = "direct"


def question_of(db: Session, plan: Plan, known_at: datetime) -> Question:
    """Return what a plan is to be found for: what stands stays, and the rest is asked."""
    favors = Counter(_kept(db, plan.session))
    favors.update((who, mentor) for who, wished in plan.wishes.items() for mentor in set(wished))
    return Question(open_floor(plan), levels_of(plan), plan.counted, favors, _lacking(db, plan.session, known_at))


def open_floor(plan: Plan) -> Floor:
    """Return a floor on which whoever does not come in a block is as good as elsewhere: nobody new is placed so."""
    away = (*plan.floor.missed, *plan.floor.unavailable)
    return replace(plan.floor, elsewhere={**dict.fromkeys(away, ""), **plan.floor.elsewhere})


def levels_of(plan: Plan, matrix: Matrix | None = None) -> LevelsAt:
    """Return how to ask for the levels of all who are expected, each station and participant read once.

    They are the gate's, or those of another matrix in which all of them have a place.
    """
    if plan.floor.volunteers and matrix is None:
        matrix = plan.gate.matrix(plan.floor.volunteers)
    places = [matrix.everybody.places[code] for code in plan.floor.volunteers] if matrix else []
    known: dict[tuple[str, str | None], Levels] = {}

    def levels_at(station: str, participant: str | None) -> Levels:
        key = (station, participant)
        if matrix is None:
            return np.zeros(0, np.uint8)
        if key not in known:
            file = plan.gate.participant(participant) if participant else None
            digits = matrix.column(station, file, plan.session.day).levels()
            known[key] = (np.frombuffer(digits.encode(), np.uint8) - ord("0"))[places]
        return known[key]

    return levels_at


def _kept(db: Session, session: SessionFact) -> set[tuple[str, str]]:
    """Return which participants and volunteers worked together in the last closed session that both attended."""
    came = _attended(db, session)
    last = {
        (one, other): max(both, key=lambda code: came[one][code])
        for one in session.participants
        for other in session.volunteers
        if (both := came.get(one, {}).keys() & came.get(other, {}).keys())
    }
    worked = select(Placement.session, Placement.participant, Placement.mentor).where(
        Placement.session.in_(set(last.values())), Placement.participant.is_not(None)
    )
    together = {(who, mentor, code) for code, who, mentor in db.execute(worked)}
    return {pair for pair, code in last.items() if (*pair, code) in together}


def _attended(db: Session, session: SessionFact) -> Mapping[str, Mapping[str, tuple[object, ...]]]:
    """Return by whom which closed sessions before this one were attended, each with its place in time."""
    query = (
        select(Attendance.code, ProgramSession.code, ProgramSession.day, ProgramSession.starts)
        .join(ProgramSession, ProgramSession.code == Attendance.session)
        .join(Closing, Closing.session == Attendance.session)
        .where(ProgramSession.day <= session.day, ProgramSession.code != session.code)
    )
    expected = {*session.participants, *session.volunteers}
    came: dict[str, dict[str, tuple[object, ...]]] = {}
    for who, code, day, starts in db.execute(query):
        if who in expected and (day, starts) < (session.day, session.starts):
            came.setdefault(who, {})[code] = (day, starts, code)
    return came


def _lacking(db: Session, session: SessionFact, known_at: datetime) -> dict[str, int]:
    """Return how many minutes of sessions are still ahead of each volunteer's required hours."""
    rows = [row for row in volunteers(db) if row.code in session.volunteers]
    return {log.person: log.sum_of(CATEGORY).missing for log in logs_of(db, rows, session.day, known_at)}
