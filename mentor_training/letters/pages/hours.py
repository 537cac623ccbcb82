"""Letters of hours: one's own, and for the coordinator everybody's, years later too; each under a number."""

from __future__ import annotations

from flask import Response, render_template, url_for
from werkzeug.wrappers import Response as Answer

from mentor_training.certificates.rules import grouped
from mentor_training.letters.pages.blueprint import pages
from mentor_training.letters.pdf import hours_letter_pdf
from mentor_training.letters.queries import hours as queries
from mentor_training.letters.queries.refused import set_aside
from mentor_training.letters.queries.written import as_written, letter_for, letters_of
from mentor_training.letters.writing import write_letter
from mentor_training.people.access import db, done, guarded, instance, me, now, today
from mentor_training.people.permissions import COORDINATOR, Act
from mentor_training.web.paper_size import as_pdf, asked_size


@pages.get("/letters")
@guarded(Act.HAVE_LETTERS)
def listing() -> str:
    """Show of whom a letter of hours can be written: oneself; for the coordinator everybody."""
    everybody = queries.people_stated(db()) if COORDINATOR in me().roles else []
    aside = len(set_aside(db())) if me().may(Act.KEEP_ADDRESSES) else 0
    mine = queries.has_stated(db(), me().code)
    return render_template("letters/listing.html", people=everybody, mine=mine, aside=aside)


@pages.get("/letters/hours/<code>")
@guarded(Act.HAVE_LETTERS)
def hours(code: str) -> str:
    """Show the letters of hours that were written of somebody, and have another written."""
    row = queries.letter_person(db(), me(), code)
    written = [(one, as_written(one), grouped(one.verification_code)) for one in letters_of(db(), code)]
    return render_template(
        "letters/hours.html", person=row, written=written, stated=queries.has_stated(db(), code), own=code == me().code
    )


@pages.post("/letters/hours/<code>/write")
@guarded(Act.HAVE_LETTERS)
def write_submit(code: str) -> Answer:
    """Write somebody's letter of hours of today under a number."""
    row = write_letter(db(), now(), me(), code, instance().settings.title, today())
    return done(url_for("letters.hours", code=code), f"{row.number} is written.")


@pages.get("/letters/<number>/letter.pdf")
@guarded(Act.HAVE_LETTERS)
def hours_pdf(number: str) -> Response:
    """Give a letter of hours as PDF, as it was written."""
    row = letter_for(db(), me(), number)
    return as_pdf(hours_letter_pdf(row, instance().settings, asked_size()), row.number)
