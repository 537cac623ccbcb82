"""Looking for the best plan in the background: asked for by a coordinator, done by a worker."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy.orm import Session

from mentor_training.calendar.queries import session_for
from mentor_training.errors import Refused
from mentor_training.jobs.actions import enqueue
from mentor_training.jobs.tables import Job
from mentor_training.jobs.work import Work
from mentor_training.journal.queries import newest_moment
from mentor_training.people.permissions import Actor
from mentor_training.planning.actions.turn import wait_for_turn
from mentor_training.planning.proposal import as_json
from mentor_training.planning.queries.asking import question_of
from mentor_training.planning.queries.plan import closing_of, plan_for
from mentor_training.planning.queries.proposals import KIND, key_of
from mentor_training.planning.solver.aims import CHANGES, COVERED, HOURS, KEPT, SUPERVISED
from mentor_training.planning.solver.search import best_plan

# How many seconds a coordinator may give a search; the first is what it has by itself.
SECONDS = (10, 30, 60, 120)
STEPS = {
    COVERED: "most participant-blocks covered",
    SUPERVISED: "fewest mentors who work supervised",
    CHANGES: "fewest mentor changes",
    KEPT: "most pairs kept from last time, and wishes",
    HOURS: "mentors furthest from their required hours first",
}


def look_for_plan(db: Session, at: datetime, by: Actor, session: str, seconds: int) -> Job:
    """Have the best plan of a session looked for; where that is being done already, it is that one search."""
    wait_for_turn(db, session)
    session_for(db, session)
    if seconds not in SECONDS:
        raise Refused(f"Choose one of {', '.join(map(str, SECONDS))} seconds for the search.")
    return enqueue(db, at, by.code, KIND, {"session": session, "seconds": seconds}, key_of(session))


def find_plan(work: Work) -> dict[str, Any]:
    """Find the best plan of the session that a job names, by what is known when it is begun; store nothing."""
    session, seconds = work.arguments["session"], work.arguments["seconds"]
    work.takes_at_most(seconds)
    work.step("reading the floor and everybody's clearance")
    with work.instance.database.reading() as db:
        if closing_of(db, session):
            raise Refused(f"Session {session} was closed meanwhile; the floor as it ran no longer changes.")
        at = max(work.instance.now(), newest_moment(db) or work.instance.now())
        plan = plan_for(db, session, at)
        plan.gate.load_everybody()
        question = question_of(db, plan, at)
    found = best_plan(question, seconds, lambda name: work.step(STEPS.get(name, name)), work.stopped)
    return as_json(found, question.floor, question.standing, work.stop_wished.is_set())
