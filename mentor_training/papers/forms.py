"""The forms about papers."""

from __future__ import annotations

from flask_wtf import FlaskForm
from wtforms import SelectField, TextAreaField
from wtforms.validators import InputRequired, Length, Optional

from mentor_training.program.catalog import Program
from mentor_training.web.forms import DayField, options

DAY_FORM = "Write it as a day, such as 2026-10-17."


class PaperForm(FlaskForm):
    """A paper with its dates as printed."""

    paper = SelectField("Paper", [InputRequired("Choose which paper it is.")])
    issued = DayField("Issued on", [InputRequired(f"Write the day on which it was issued. {DAY_FORM}")])
    last_day = DayField("Good through", [Optional()])


class DeclineForm(FlaskForm):
    """Why a paper is declined."""

    reason = TextAreaField("Why it is declined", [InputRequired("Write why; the volunteer reads it."), Length(max=500)])


def paper_form(program: Program, **given: object) -> PaperForm:
    """Return the form with the papers of the program to choose from."""
    form = PaperForm(**given)
    papers = [(slug, paper.title) for slug, paper in program.papers.items()]
    form.paper.choices = options([("", "Choose a paper"), *papers])
    return form
