"""Who is cleared here, for this participant, or for both, on this day."""

from __future__ import annotations

from datetime import date, timedelta

from flask import render_template, request

from mentor_training.clearance.pages.blueprint import pages
from mentor_training.clearance.queries import Gate, gate_at, visible_volunteers
from mentor_training.clearance.questions import (
    Cleared,
    Counts,
    how_many_are_cleared,
    next_session_after,
    stations_asked,
    who_is_cleared,
)
from mentor_training.errors import NotFound
from mentor_training.participants.actions import look
from mentor_training.participants.queries import participant_for, participants
from mentor_training.people.access import db, guarded, instance, me, now
from mentor_training.people.permissions import Act
from mentor_training.program.catalog import Level
from mentor_training.web.as_of import current_as_of

SOON = timedelta(days=14)


@pages.get("/clearance/who")
@guarded(Act.SEE_CLEARANCE)
def who() -> str:
    """Show who is cleared at a station, for a participant, or both, by level, with what lapses before a session."""
    station, participant = request.args.get("station", ""), request.args.get("participant", "")
    if participant:
        _look_at(participant)
    as_of = current_as_of(now(), instance().settings.zone)
    gate = gate_at(db(), as_of.known_at or now())
    program = gate.edition(as_of.day).program
    session = next_session_after(db(), as_of.day)
    until = session.day if session else None
    people = {row.code: row for row in visible_volunteers(db(), me())}
    cleared, counts = _answer(gate, list(people), station, participant, as_of.day, until)
    return render_template(
        "clearance/who.html",
        program=program,
        station=program.stations.get(station),
        participant=participant_for(db(), participant) if participant else None,
        participants=participants(db()) if me().may(Act.SEE_PARTICIPANTS) else [],
        people=people,
        by_level=[(level, [one for one in cleared if one.level == level]) for level in sorted(Level, reverse=True)],
        cleared=cleared,
        counts=counts,
        session=session,
        day=as_of.day,
        soon=as_of.day + SOON,
    )


def _answer(
    gate: Gate, people: list[str], station: str, participant: str, day: date, until: date | None
) -> tuple[tuple[Cleared, ...], tuple[Counts, ...]]:
    """Return everybody by name where a station is asked about, else how many there are at each."""
    stations = stations_asked(gate, day, station or None)
    if station:
        return who_is_cleared(gate, people, station, participant or None, day, until), ()
    return (), how_many_are_cleared(gate, people, stations, participant or None, day, until)


def _look_at(participant: str) -> None:
    """Have the journal keep the look; nobody but the coordinator asks about a participant."""
    if not me().may(Act.SEE_PARTICIPANTS):
        raise NotFound("such a page for you; a pairing is shown with its session")
    with instance().database.writing() as short:
        look(short, instance().now(), me(), participant, "who is cleared")
