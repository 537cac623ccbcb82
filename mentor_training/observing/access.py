"""What pages of observing ask of rooms above them: with whom an observer is paired."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date

from flask import Flask, current_app
from sqlalchemy.orm import Session

from mentor_training.people.access import db

Partners = Callable[[Session, str, date], Iterable[str]]


def set_partners(app: Flask, partners: Partners) -> None:
    """Let the application say who is paired with somebody on a day; pairing is decided in a room above this one."""
    app.extensions["pairing_partners"] = partners


def partners_on(person: str, days: Iterable[date]) -> frozenset[str]:
    """Return the volunteers with whom somebody is or was paired on any of the days."""
    partners: Partners | None = current_app.extensions.get("pairing_partners")
    if partners is None:
        return frozenset()
    return frozenset(code for day in set(days) for code in partners(db(), person, day))
