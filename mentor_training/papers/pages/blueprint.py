"""The blueprint of the papers, and what its pages share."""

from __future__ import annotations

from datetime import date, datetime

from flask import Blueprint
from werkzeug.wrappers import Response

from mentor_training.people.access import db, instance, me, now, today
from mentor_training.people.queries import volunteer_for
from mentor_training.people.tables import Person
from mentor_training.program.catalog import Program
from mentor_training.program.queries import require_edition
from mentor_training.web.as_of import current_as_of

pages = Blueprint("papers", __name__)
Answer = Response | tuple[str, int]


def asked() -> tuple[date, datetime]:
    """Return the day that is asked about, and the moment whose knowledge counts."""
    as_of = current_as_of(now(), instance().settings.zone)
    return as_of.day, as_of.known_at or now()


def person_of(code: str) -> Person:
    """Return a volunteer that the viewer may see."""
    return volunteer_for(db(), me(), code)


def program_now() -> Program:
    """Return the program in force today."""
    return require_edition(db(), today(), now()).program


def title_of(paper: str) -> str:
    """Return how a paper is called today."""
    return program_now().title_of(f"paper/{paper}")
