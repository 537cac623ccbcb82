"""Station cards as PDF: one station on the day looked at, or all stations of a session."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from flask import Response

from mentor_training.calendar.queries import seen_session
from mentor_training.clearance.pages.blueprint import pages
from mentor_training.clearance.pdf import cards_pdf, station_cards
from mentor_training.clearance.queries import gate_at, visible_volunteers
from mentor_training.errors import NotFound, Refused
from mentor_training.people.access import db, guarded, instance, me, now
from mentor_training.people.permissions import Act
from mentor_training.people.queries import volunteers
from mentor_training.people.tables import Person
from mentor_training.web.as_of import current_as_of
from mentor_training.web.display import show_day, show_span
from mentor_training.web.paper_size import as_pdf, asked_size


@pages.get("/clearance/stations/<slug>/card.pdf")
@guarded(Act.SEE_CLEARANCE)
def card_of_station(slug: str) -> Response:
    """Give the card of one station on the day looked at; who may lead is looked for among whom one may see."""
    day = current_as_of(now(), instance().settings.zone).day
    return _cards([slug], visible_volunteers(db(), me()), day, show_day(day), f"station-{slug}")


@pages.get("/clearance/cards/<code>.pdf")
@guarded(Act.SEE_CLEARANCE)
def cards_of_session(code: str) -> Response:
    """Give the cards of all stations of a session, a page each; who may lead is looked for among the expected."""
    session = seen_session(db(), me(), code)
    people = [row for row in volunteers(db()) if row.code in session.volunteers]
    when = f"{session.title}, {show_day(session.day)}, {show_span(session.starts, session.ends)}"
    return _cards(session.stations, people, session.day, when, f"station-cards-{code}")


def _cards(slugs: Sequence[str], people: Sequence[Person], day: date, when: str, name: str) -> Response:
    size, settings = asked_size(), instance().settings
    known_at = current_as_of(now(), settings.zone).known_at or now()
    gate = gate_at(db(), known_at)
    known = [slug for slug in slugs if slug in gate.edition(day).program.stations]
    if not slugs:
        raise Refused("The session names no station, so that there is no card to print.")
    if not known:
        raise NotFound(f"station {', '.join(slugs)}")
    cards = station_cards(gate, known, people, day)
    return as_pdf(cards_pdf(cards, when, settings.title, known_at, settings.zone, size), name)
