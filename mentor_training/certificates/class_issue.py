"""Issuing one kind of certificate to everybody who is ready, in the background, each in a transaction of its own."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from sqlalchemy.orm import Session

from mentor_training.certificates.actions import issue
from mentor_training.certificates.queries import Candidate, Issued, candidates, issued_to, kind_for, people_of
from mentor_training.errors import Refused
from mentor_training.jobs.actions import enqueue
from mentor_training.jobs.tables import Job
from mentor_training.jobs.work import Work
from mentor_training.journal.actions import take_turn
from mentor_training.journal.queries import newest_moment
from mentor_training.people.permissions import CONSOLE, Actor
from mentor_training.people.queries import actor_of, person_for
from mentor_training.program.queries import require_edition

KIND = "class-certificates"


def key_of(by: Actor, kind: str, section: str = "") -> str:
    """Return the key under which there is one open job of somebody's for a kind of certificate, of a section or all."""
    return f"{KIND}/{kind}/{by.code}{f'/{section}' if section else ''}"


def ask_for_class(db: Session, at: datetime, by: Actor, kind: str, on: date, section: str = "") -> Job:
    """Have a kind of certificate issued to all of one's volunteers who are ready, or to those of a section.

    Where that runs, it is that one.
    """
    kind_for(require_edition(db, on, at).program, kind)
    people_of(db, by, section)
    arguments = {"kind": kind, "on": on.isoformat(), "section": section}
    return enqueue(db, at, by.code, KIND, arguments, key_of(by, kind, section))


def issue_to_class(work: Work) -> dict[str, Any]:
    """Issue to each who is ready; who has a valid one already is left out, so that a job begun again makes none twice.

    What is refused on the way, because something was recorded meanwhile, is told with its reasons. `take_turn` comes
    before the job's own row, as in a page: two who wait for each other's lock would never end.
    """
    kind, on = work.arguments["kind"], date.fromisoformat(work.arguments["on"])
    with work.instance.database.reading() as db:
        by = asked_by(db, work.taken.asked_by)
        todo = [one.person for one in ready_for(db, by, work.arguments, _moment(work, db))]
    refused: dict[str, list[str]] = {}
    work.step(f"issuing {len(todo)} certificates")
    work.progress(0, len(todo))
    for number, person in enumerate(todo, 1):
        if work.stopped():
            break
        try:
            with work.storing(take_turn) as db:
                issue(db, _moment(work, db), by, person, kind, on)
        except Refused as no:
            refused[person] = list(no.reasons)
        work.progress(number, len(todo))
    return {"refused": refused, "stopped": work.stop_wished.is_set()}


def asked_by(db: Session, code: str) -> Actor:
    """Return who asked for a job, with the roles of now."""
    return CONSOLE if code == CONSOLE.code else actor_of(person_for(db, code))


def ready_for(db: Session, by: Actor, asked: Mapping[str, Any], known_at: datetime) -> list[Candidate]:
    """Return those of somebody's volunteers who lack nothing for what was asked for and have no valid one."""
    kind, people = asked["kind"], people_of(db, by, asked.get("section", ""))
    found = candidates(db, people, date.fromisoformat(asked["on"]), known_at)
    return [one for one in found if one.kind.slug == kind and one.ready and one.person != by.code]


def issued_by_job(db: Session, job: Job) -> list[Issued]:
    """Return the certificates that a job has issued, in all its attempts, in the order of their numbers."""
    by, kind = asked_by(db, job.asked_by), job.arguments["kind"]
    found = issued_to(db, [row.code for row in people_of(db, by, job.arguments.get("section", ""))])
    mine = (one for one in found if one.certificate.kind == kind and one.certificate.issued_by == by.code)
    return sorted(
        (one for one in mine if one.certificate.issued_at >= job.asked_at), key=lambda one: one.certificate.number
    )


def _moment(work: Work, db: Session) -> datetime:
    return max(work.instance.now(), newest_moment(db) or work.instance.now())
