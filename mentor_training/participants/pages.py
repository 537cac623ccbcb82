"""The coordinator's pages about participants: the list, one participant, the next version of a card."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from flask import Blueprint, render_template, url_for
from werkzeug.wrappers import Response

from mentor_training.errors import Refused
from mentor_training.journal.queries import is_moving_in
from mentor_training.participants import actions, queries
from mentor_training.participants.card_file import read_cards
from mentor_training.participants.forms import CardForm, CardsFileForm, ParticipantsFileForm
from mentor_training.participants.roster import read_participants
from mentor_training.participants.rules import card_on
from mentor_training.people.access import db, done, guarded, instance, me, now, today
from mentor_training.people.permissions import Act
from mentor_training.people.queries import people
from mentor_training.program.queries import edition_in_force
from mentor_training.web.as_of import current_as_of
from mentor_training.web.uploads import uploaded_text

pages = Blueprint("participants", __name__)


@pages.get("/participants")
@guarded(Act.SEE_PARTICIPANTS)
def listing() -> str:
    """List participants with their cards, and take files in; needs are not on this page."""
    return _listing()


@pages.post("/participants/import")
@guarded(Act.SEE_PARTICIPANTS)
def import_submit() -> Response | tuple[str, int]:
    """Take participants.csv in whole, or say everything that is wrong with it and take nothing."""
    codes = [person.code for person in people(db())]
    rows, problems = read_participants(uploaded_text("file"), queries.known_needs(db(), now()), codes)
    if problems:
        return _listing(participants_problems=problems), 422
    changed = actions.import_participants(db(), now(), me(), rows, today(), is_moving_in(db()))
    return done(url_for("participants.listing"), f"{len(rows)} rows read, {changed} of them new or changed.")


@pages.post("/participants/cards/import")
@guarded(Act.SEE_PARTICIPANTS)
def import_cards_submit() -> Response | tuple[str, int]:
    """Take cards.csv in whole, or say everything that is wrong with it and take nothing."""
    cards, problems = read_cards(uploaded_text("cards"), queries.first_names(db()), queries.cards_known(db(), now()))
    if problems:
        return _listing(cards_problems=problems), 422
    new = actions.import_cards(db(), now(), me(), cards, is_moving_in(db()))
    return done(url_for("participants.listing"), f"{len(cards)} rows read, {new} card versions new.")


@pages.get("/participants/<code>")
@guarded(Act.SEE_PARTICIPANTS)
def participant(code: str) -> str:
    """Show one participant in functional words; that somebody looked is journaled."""
    _look(code, "needs")
    on, known_at = _as_of()
    edition = edition_in_force(db(), on, known_at)
    profile = queries.profile_in_force(db(), code, on, known_at)
    cards = queries.cards_known(db(), known_at, code)
    known = edition.program.needs if edition else {}
    return render_template(
        "participants/participant.html",
        participant=queries.participant_for(db(), code),
        profile=profile,
        needs=[(slug, known.get(slug)) for slug in (profile.needs if profile else ())],
        card=card_on(cards, on),
        cards=cards[::-1],
        names={person.code: person.name for person in people(db())},
        on=on,
    )


@pages.get("/participants/<code>/card")
@guarded(Act.SEE_PARTICIPANTS)
def card(code: str) -> str:
    """Show the form for the next version of a card, filled with the words of the last."""
    _look(code, "card")
    cards = queries.cards_known(db(), now(), code)
    newest = cards[-1] if cards else None
    form = CardForm(after=newest.version if newest else 0, text=newest.text if newest else "", first_day=today())
    return _card_page(code, form)


@pages.post("/participants/<code>/card")
@guarded(Act.SEE_PARTICIPANTS)
def card_submit(code: str) -> Response | tuple[str, int]:
    """Store the next version of a card."""
    form = CardForm()
    first_day, review_by = form.first_day.data, form.review_by.data
    if not form.validate_on_submit() or first_day is None or review_by is None:
        return _card_page(code, form), 422
    try:
        new = actions.write_card(
            db(), now(), me(), code, form.after.data or 0, first_day, review_by, form.text.data or ""
        )
    except Refused as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        return _card_page(code, form), 422
    where = url_for("participants.participant", code=code)
    return done(where, f"Version {new.version} is stored. Each mentor reads it before they are cleared again.")


def _look(code: str, what: str) -> None:
    """Write down that somebody looks; a page that is only read has a reader's session, so this has one of its own."""
    with instance().database.writing() as writer:
        actions.look(writer, now(), me(), code, what)


def _as_of() -> tuple[date, datetime]:
    as_of = current_as_of(now(), instance().settings.zone)
    return as_of.day, as_of.known_at or now()


def _listing(**problems: Any) -> str:
    on, known_at = _as_of()
    return render_template(
        "participants/listing.html",
        participants=queries.summaries(db(), on, known_at),
        file_form=ParticipantsFileForm(formdata=None),
        cards_form=CardsFileForm(formdata=None),
        problems=problems,
    )


def _card_page(code: str, form: CardForm) -> str:
    return render_template("participants/card.html", participant=queries.participant_for(db(), code), form=form)
