"""The blueprint that all pages about the program hang on, and the edition that they show."""

from __future__ import annotations

from flask import Blueprint

from mentor_training.people.access import db, instance, now
from mentor_training.program.editions import PublishedProgram
from mentor_training.program.queries import edition_in_force, require_edition
from mentor_training.web.as_of import current_as_of

pages = Blueprint("program", __name__)


def shown_edition() -> PublishedProgram | None:
    """Return the edition in force on the day looked at, as known at the moment looked from."""
    as_of = current_as_of(now(), instance().settings.zone)
    return edition_in_force(db(), as_of.day, as_of.known_at or now())


def required_edition() -> PublishedProgram:
    """Return the edition in force, or refuse and say what to do."""
    as_of = current_as_of(now(), instance().settings.zone)
    return require_edition(db(), as_of.day, as_of.known_at or now())
