"""Who was cleared then, as known then, with what was recorded later shown apart."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from flask import Blueprint, render_template, request

from mentor_training.clearance.questions import people_asked
from mentor_training.overview.exports import later_in_words
from mentor_training.overview.queries.then import (
    Row,
    closed_sessions,
    closing_for,
    end_of_day,
    known_station,
    participants_on,
    rows_at,
    rows_of_floor,
    two_gates,
)
from mentor_training.participants.actions import look
from mentor_training.people.access import db, guarded, instance, me, now
from mentor_training.people.permissions import Act
from mentor_training.planning.queries.board import names_of_all
from mentor_training.planning.tables import Closing
from mentor_training.web.as_of import current_as_of

MOST = 300  # answers whose difference is looked into on one page

# A blueprint of its own: it is no place of the top line, and belongs to none.
pages = Blueprint("then", __name__)


@dataclass(frozen=True)
class Asked:
    """What was asked, and the answer."""

    day: date
    known_at: datetime
    station: str
    person: str
    session: str
    rows: Sequence[Row]
    titles: dict[str, str]

    @property
    def differing(self) -> Sequence[Row]:
        """Return the rows whose answer is another one now."""
        return [row for row in self.rows if row.found.differs]

    @property
    def shown(self) -> Sequence[Row]:
        """Return the rows to show: all of a station, a volunteer or a session, else only those that differ."""
        return self.rows if self.station or self.person or self.session else self.differing[:MOST]

    @property
    def is_cut(self) -> bool:
        """Return whether more answers differ than the page shows, or looks into."""
        return len(self.differing) > MOST


@pages.get("/clearance/then")
@guarded(Act.SEE_PARTICIPANTS)
def then() -> str:
    """Show who was cleared on a day as known at a moment, beside what is known now and what made the difference."""
    asked = _asked()
    zone = instance().settings.zone
    return render_template(
        "overview/then.html",
        asked=asked,
        most=MOST,
        names=names_of_all(db()),
        sessions=closed_sessions(db()),
        in_words=lambda one: later_in_words(one, zone),
        local=asked.known_at.astimezone(zone).strftime("%Y-%m-%dT%H:%M:%S"),
    )


def _asked() -> Asked:
    session = request.args.get("session", "")
    as_of = current_as_of(now(), instance().settings.zone)
    if session:
        closing = closing_for(db(), session)
        return _of_floor(closing, as_of.known_at or closing.closed_at)
    known_at = as_of.known_at or end_of_day(as_of.day, instance().settings.zone, now())
    gates, station = two_gates(db(), known_at, now()), request.args.get("station", "")
    stations = known_station(gates, as_of.day, station or None)
    person = request.args.get("person", "")
    rows = rows_at(gates, people_asked(db(), now(), None, person or None), stations, as_of.day, MOST)
    return Asked(as_of.day, known_at, station, person, "", rows, gates.titles(gates.stations(as_of.day), as_of.day))


def _of_floor(closing: Closing, known_at: datetime) -> Asked:
    day, gates = date.fromisoformat(closing.floor["day"]), two_gates(db(), known_at, now())
    _look_at(participants_on(closing), f"floor of {closing.session}")
    rows = rows_of_floor(gates, closing, day)
    titles = gates.titles([row.found.station for row in rows], day)
    return Asked(day, known_at, "", "", closing.session, rows, titles)


def _look_at(participants: Iterable[str], what: str) -> None:
    """Have the journal keep that these participants were looked at."""
    with instance().database.writing() as short:
        for participant in participants:
            look(short, instance().now(), me(), participant, what)
