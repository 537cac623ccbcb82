"""Incidents, with what was added to them later."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.errors import NotAllowed, NotFound
from mentor_training.observing.tables import Incident, IncidentAddition
from mentor_training.people.permissions import Act, Actor


def incident_for(db: Session, viewer: Actor, number: int) -> Incident:
    """Return an incident by its number: for the coordinator any, for others one that they reported."""
    row = db.get(Incident, number)
    if row is None:
        raise NotFound(f"incident {number}")
    if not viewer.may(Act.SEE_INCIDENTS) and row.recorded_by != viewer.code:
        raise NotAllowed("an incident that somebody else reported")
    return row


def incidents(db: Session) -> list[Incident]:
    """Return all incidents, the newest first."""
    return list(db.scalars(select(Incident).order_by(Incident.day.desc(), Incident.number.desc())))


def additions_to(db: Session, number: int) -> list[IncidentAddition]:
    """Return what was added to an incident, in order."""
    query = select(IncidentAddition).where(IncidentAddition.incident == number)
    return list(db.scalars(query.order_by(IncidentAddition.number)))
