"""The forms about stand-downs, restrictions, waivers, liftings and withdrawals."""

from __future__ import annotations

from flask_wtf import FlaskForm
from wtforms import BooleanField, DateField, RadioField, SelectField, TextAreaField
from wtforms.validators import InputRequired, Length, Optional

from mentor_training.web.forms import options

REASON = [InputRequired("Write the reason; it stays with the record."), Length(max=2000)]


class PauseForm(FlaskForm):
    """A stand-down, or a restriction of the volunteer's own."""

    kind = RadioField(
        "What it is",
        [InputRequired("Choose which of the two it is.")],
        choices=options([("stood-down", "A stand-down"), ("restricted", "A restriction of the volunteer's own")]),
    )
    scope = SelectField("Where it holds", choices=[])
    first_day = DateField("From", [InputRequired("Write the first day.")])
    last_day = DateField("Through (empty: until it is lifted)", [Optional()])
    reason = TextAreaField("Reason", REASON)


class WaiveForm(FlaskForm):
    """A waiver for one item; it stands on one page with the form above, so its fields have ids of their own."""

    item = SelectField("What is waived", choices=[])
    first_day = DateField("From", [InputRequired("Write the first day.")], id="waived-from")
    last_day = DateField("Through", [InputRequired("Write the last day; a waiver always ends.")], id="waived-through")
    reason = TextAreaField("Reason", REASON, id="waived-because")


class CorrectForm(FlaskForm):
    """Lifting, withdrawing or voiding a record."""

    first_day = DateField("From", [InputRequired("Write from which day.")])
    void = BooleanField("Void it: it was never held")
    reason = TextAreaField("Reason", REASON)
