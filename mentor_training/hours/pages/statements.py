"""Statements: what one would take in, making it, and taking it away as CSV, workbook or PDF."""

from __future__ import annotations

from collections.abc import Iterator

from flask import Response, render_template, request, url_for
from werkzeug.datastructures import MultiDict
from werkzeug.wrappers import Response as Answer

from mentor_training.database.instance import Instance
from mentor_training.errors import Refused
from mentor_training.hours import queries
from mentor_training.hours.exports import lines_csv, statement_csv
from mentor_training.hours.forms import ThroughForm
from mentor_training.hours.pages.answering import file
from mentor_training.hours.pages.blueprint import pages
from mentor_training.hours.pdf import statement_pdf
from mentor_training.hours.rules import rule_in_words
from mentor_training.hours.spreadsheet import statement_xlsx
from mentor_training.hours.stated import sums_in
from mentor_training.hours.stating import make_statement
from mentor_training.people.access import db, done, guarded, instance, me, now, today
from mentor_training.people.permissions import Act
from mentor_training.people.queries import people
from mentor_training.program.queries import edition_in_force
from mentor_training.web.paper_size import SIZES, asked_size


@pages.get("/hours/sections/<code>/statement")
@guarded(Act.MAKE_STATEMENT)
def prepare(code: str) -> str | tuple[str, int]:
    """Show what a statement would take in and what it would leave out, before it is made."""
    queries.open_section(me(), code)
    form = ThroughForm(request.args if "through" in request.args else MultiDict([("through", today().isoformat())]))
    if not form.validate() or form.through.data is None:
        return render_template("hours/prepare.html", code=code, form=form, ready=None), 422
    if form.through.data > today():
        form.through.errors = ["That day is still ahead; choose today or an earlier day."]
        return render_template("hours/prepare.html", code=code, form=form, ready=None), 422
    ready = queries.to_state(db(), code, form.through.data, now(), instance().settings.zone)
    return render_template("hours/prepare.html", code=code, form=form, ready=ready, rule=rule_in_words(ready.rounding))


@pages.post("/hours/sections/<code>/statement")
@guarded(Act.MAKE_STATEMENT)
def make_submit(code: str) -> Answer:
    """Make the statement."""
    form = ThroughForm(request.form)
    if not form.validate() or form.through.data is None:
        raise Refused("The last day to take in is missing; go back and choose one.")
    settings = instance().settings
    row = make_statement(db(), now(), me(), code, form.through.data, settings.zone, settings.title)
    return done(url_for("hours.statement", number=row.number), f"{row.number} is made; it will not change any more.")


@pages.get("/hours/statements/<number>")
@guarded(Act.SEE_SECTION_HOURS)
def statement(number: str) -> str:
    """Show a statement, the entries on it as they were called when it was made, and how it can be checked."""
    row = queries.statement_for(db(), me(), number)
    entries = queries.entries_on(db(), number)
    published = edition_in_force(db(), row.through, row.made_at)
    return render_template(
        "hours/statement.html",
        statement=row,
        sums=sums_in(row.body),
        sizes=SIZES,
        entries=entries,
        titles=queries.titles_of(db(), entries, published.program if published else None),
        names={one.code: one.name for one in people(db())},
    )


@pages.get("/hours/statements/<number>.csv")
@guarded(Act.SEE_SECTION_HOURS)
def statement_as_csv(number: str) -> Response:
    """Give a statement as CSV, byte for byte as it was frozen."""
    return file(statement_csv(queries.statement_for(db(), me(), number)), f"{number}.csv")


@pages.get("/hours/statements/<number>-lines.csv")
@guarded(Act.SEE_SECTION_HOURS)
def statement_lines_as_csv(number: str) -> Response:
    """Give a statement's lines as CSV, piece by piece as they were frozen."""
    row = queries.statement_for(db(), me(), number)
    return file(_pieces(instance(), row.number), f"{number}-lines.csv")


def _pieces(opened: Instance, number: str) -> Iterator[bytes]:
    """Read in a session of its own: the request's is closed before the first piece is sent."""
    with opened.database.reading() as reader:
        yield from lines_csv(reader, number)


@pages.get("/hours/statements/<number>.xlsx")
@guarded(Act.SEE_SECTION_HOURS)
def statement_as_xlsx(number: str) -> Response:
    """Give a statement as a workbook."""
    row = queries.statement_for(db(), me(), number)
    return file(statement_xlsx(db(), row, instance().settings.zone), f"{number}.xlsx")


@pages.get("/hours/statements/<number>.pdf")
@guarded(Act.SEE_SECTION_HOURS)
def statement_as_pdf(number: str) -> Response:
    """Give a statement as PDF, Letter or A4, with its CSV files in it."""
    row = queries.statement_for(db(), me(), number)
    settings = instance().settings
    return file(statement_pdf(db(), row, settings.title, settings.zone, asked_size()), f"{number}.pdf")
