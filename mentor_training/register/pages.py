"""The coordinator's page of the register: take a file in, see first what it would do, write everything out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from flask import Blueprint, Response, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from mentor_training.csv_form import Problem
from mentor_training.database.instance import Instance
from mentor_training.errors import Refused
from mentor_training.evidence.queries import how_many
from mentor_training.people.access import db, done, guarded, instance, me, now
from mentor_training.people.permissions import Act
from mentor_training.register import actions, queries
from mentor_training.register.forms import RegisterFileForm
from mentor_training.register.rules import Intake
from mentor_training.web.uploads import uploaded_text

pages = Blueprint("register", __name__)

# A page that lists more helps nobody; the command prints them all.
MOST_SHOWN = 200
LOOK = "look"


@dataclass(frozen=True)
class Found:
    """What the page says about a file: what it would do, or the first of what is wrong and how much more there is."""

    intake: Intake | None = None
    problems: tuple[Problem, ...] = ()

    @property
    def shown(self) -> tuple[Problem, ...]:
        """Return the problems that the page lists."""
        return self.problems[:MOST_SHOWN]

    @property
    def more(self) -> int:
        """Return how many problems it does not list."""
        return len(self.problems) - len(self.shown)


@pages.get("/register")
@guarded(Act.MOVE_REGISTER)
def overview() -> str:
    """Show how many records there are, how to get them, and the form that brings a file in."""
    return _page(RegisterFileForm(formdata=None), Found())


@pages.post("/register")
@guarded(Act.MOVE_REGISTER)
def import_submit() -> AnyResponse | str | tuple[str, int]:
    """Take a register in whole, or say all that is wrong with it and take nothing; or only say what it would do."""
    form = RegisterFileForm()
    if not request.files.get("file"):
        form.file.errors = ["Choose a file."]
        return _page(form, Found()), 422
    try:
        text = uploaded_text("file")
    except Refused as no:
        form.file.errors = list(no.reasons)
        return _page(form, Found()), 422
    if request.form.get("then") == LOOK:
        intake = queries.look_at(db(), now(), text)
        return _page(form, Found(intake, intake.problems)), 422 if intake.problems else 200
    intake = actions.import_register(db(), now(), me(), text)
    if intake.problems:
        db().rollback()
        return _page(form, Found(None, intake.problems)), 422
    new = len(intake.new)
    return done(url_for("register.overview"), f"{new + intake.there} rows read, {new} of them new.")


@pages.get("/register.csv")
@guarded(Act.MOVE_REGISTER)
def listing_csv() -> Response:
    """Give the whole register as the file that would come in again, piece by piece as it is read."""
    headers = {"Content-Disposition": f"attachment; filename=register-{now():%Y-%m-%d}.csv"}
    return Response(_pieces(instance()), mimetype="text/csv", headers=headers)


def _pieces(opened: Instance) -> Iterator[str]:
    """Read in a session of its own: the request's is closed before the first piece is sent."""
    with opened.database.reading() as reader:
        yield from queries.in_pieces(reader)


def _page(form: RegisterFileForm, found: Found) -> str:
    return render_template("register/register.html", form=form, found=found, total=how_many(db()), look=LOOK)
