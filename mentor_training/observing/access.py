"""What pages of observing ask of rooms above them: with whom an observer is paired, and what hangs on a skill."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from datetime import date, datetime

from flask import Flask, current_app
from sqlalchemy.orm import Session

from mentor_training.observing.queries.floor import Stakes
from mentor_training.people.access import db

Partners = Callable[[Session, str, date], Iterable[str]]
StakesOf = Callable[[Session, Collection[str], date, datetime], Stakes]


def set_partners(app: Flask, partners: Partners) -> None:
    """Let the application say who is paired with somebody on a day; pairing is decided in a room above this one."""
    app.extensions["pairing_partners"] = partners


def partners_on(person: str, days: Iterable[date]) -> frozenset[str]:
    """Return the volunteers with whom somebody is or was paired on any of the days."""
    partners: Partners | None = current_app.extensions.get("pairing_partners")
    if partners is None:
        return frozenset()
    return frozenset(code for day in set(days) for code in partners(db(), person, day))


def set_stakes(app: Flask, stakes: StakesOf) -> None:
    """Let the application say what hangs on each skill; clearance is decided in a room above this one."""
    app.extensions["skills_at_stake"] = stakes


def stakes_on(people: Collection[str], day: date, known_at: datetime) -> Stakes:
    """Return what hangs on each skill of some volunteers on a day; nothing where no room above says it."""
    stakes: StakesOf | None = current_app.extensions.get("skills_at_stake")
    return stakes(db(), people, day, known_at) if stakes and people else {}
