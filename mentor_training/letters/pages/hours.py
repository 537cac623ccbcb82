"""Letters of hours: one's own, and for the coordinator everybody's, years later too."""

from __future__ import annotations

from flask import Response, render_template

from mentor_training.journal.queries import head
from mentor_training.letters.pages.blueprint import pages, pdf
from mentor_training.letters.pdf import hours_letter_pdf
from mentor_training.letters.queries import hours as queries
from mentor_training.letters.queries.refused import set_aside
from mentor_training.people.access import db, guarded, instance, me, today
from mentor_training.people.permissions import COORDINATOR, Act


@pages.get("/letters")
@guarded(Act.HAVE_LETTERS)
def listing() -> str:
    """Show of whom a letter of hours can be made: oneself; for the coordinator everybody."""
    everybody = queries.people_stated(db()) if COORDINATOR in me().roles else []
    aside = len(set_aside(db())) if me().may(Act.KEEP_ADDRESSES) else 0
    mine = queries.has_stated(db(), me().code)
    return render_template("letters/listing.html", people=everybody, mine=mine, aside=aside)


@pages.get("/letters/<code>/hours.pdf")
@guarded(Act.HAVE_LETTERS)
def hours(code: str) -> Response:
    """Give a letter of hours as PDF."""
    letter = queries.hours_letter(db(), queries.letter_person(db(), me(), code))
    content = hours_letter_pdf(letter, instance().settings, today(), head(db()))
    return pdf(content, f"hours-letter-{letter.person}")
