"""The forms of the day itself: what is put right about attendance, and who shadows."""

from __future__ import annotations

from flask_wtf import FlaskForm
from wtforms import BooleanField, SelectField, TextAreaField, TimeField
from wtforms.validators import InputRequired, Length, Optional


class AttendanceForm(FlaskForm):
    """What is put right about somebody's coming after the day."""

    # The actions refuse with the reasons; "not a valid choice" would hide them.
    who = SelectField("Who", [InputRequired("Choose who it is about.")], validate_choice=False)
    absent = BooleanField("They did not come")
    came = TimeField("Came", [Optional()])
    left = TimeField("Left", [Optional()])
    reason = TextAreaField(
        "Reason", [InputRequired("Write the reason; it stays with the correction."), Length(max=1000)]
    )


class StationForm(FlaskForm):
    """A station to be closed from a block on."""

    # The act refuses with the reasons.
    station = SelectField("Station", [InputRequired("Choose a station.")], validate_choice=False)
    from_block = SelectField("From block", [InputRequired("Choose a block.")], validate_choice=False)
    why = SelectField("Why", [InputRequired("Choose why.")], validate_choice=False)


class ShadowForm(FlaskForm):
    """Somebody to watch at a station in a block."""

    who = SelectField("Volunteer", [InputRequired("Choose a volunteer.")], validate_choice=False)
    station = SelectField("Station", [InputRequired("Choose a station.")], validate_choice=False)
