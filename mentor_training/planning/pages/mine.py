"""A volunteer's own pairing, and the cards they read for it."""

from __future__ import annotations

from flask import render_template, url_for
from werkzeug.wrappers import Response

from mentor_training.people.access import db, done, guarded, instance, me, now, today
from mentor_training.people.permissions import Act
from mentor_training.planning.actions.cards import read_card
from mentor_training.planning.pages.blueprint import pages
from mentor_training.planning.queries.pairings import card_to_read, next_pairings


@pages.get("/pairing")
@guarded(Act.SEE_OWN_PATH)
def pairing() -> str:
    """Show today's or the next own pairing: where, with whom, what to mind, who leads."""
    found = next_pairings(db(), me().code, today(), now())
    return render_template("planning/pairing.html", pairings=found)


@pages.get("/pairing/cards/<participant>/<int:version>")
@guarded(Act.SEE_OWN_PATH)
def card(participant: str, version: int) -> str:
    """Show a card to read."""
    session, found = card_to_read(db(), me().code, participant, version, today(), now())
    return render_template("planning/card.html", session=session, found=found)


@pages.post("/pairing/cards/<participant>/<int:version>")
@guarded(Act.SEE_OWN_PATH)
def read_submit(participant: str, version: int) -> Response:
    """Record that the card was read."""
    read_card(db(), now(), me(), participant, version, instance().settings.zone)
    return done(url_for("planning.pairing"), "Noted: you have read the card.")
