"""The blueprint that all pages about sessions hang on, and who may see which session."""

from __future__ import annotations

from flask import Blueprint

from mentor_training.calendar.queries import own_sessions as concerning
from mentor_training.calendar.queries import seen_session as seen_by
from mentor_training.calendar.rules import SessionFact
from mentor_training.people.access import db, me

pages = Blueprint("planning", __name__)


def seen_session(code: str) -> SessionFact:
    """Return a session that the signed-in person may see whole: the coordinator all, an observer their own."""
    return seen_by(db(), me(), code)


def own_sessions() -> list[SessionFact]:
    """Return the sessions that concern the signed-in person: for the coordinator all."""
    return concerning(db(), me())
