"""The blueprint of the way in, my path and today, and what they all ask."""

from __future__ import annotations

from datetime import date, datetime

from flask import Blueprint, render_template

from mentor_training.people.access import db, instance, me, now
from mentor_training.people.permissions import Act
from mentor_training.program.queries import edition_in_force, known_editions
from mentor_training.web.as_of import current_as_of

pages = Blueprint("overview", __name__)


def asked() -> tuple[date, datetime]:
    """Return the day that this request is asked about, and the moment whose knowledge counts."""
    as_of = current_as_of(now(), instance().settings.zone)
    return as_of.day, as_of.known_at or now()


def nothing_yet() -> str | None:
    """Return the page for a day on which no edition of the program is in force, or None where one is."""
    day, known_at = asked()
    if edition_in_force(db(), day, known_at):
        return None
    first = min((edition.effective for edition in known_editions(db(), known_at)), default=None)
    return render_template("overview/nothing_yet.html", day=day, first=first, publishes=me().may(Act.PUBLISH))
