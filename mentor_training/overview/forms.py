"""The forms about reviews and incidents."""

from __future__ import annotations

from flask_wtf import FlaskForm
from wtforms import RadioField, SelectField, SelectMultipleField, TextAreaField, TimeField
from wtforms.validators import InputRequired, Length, Optional

from mentor_training.web.forms import DayField

DECIDED = "Write what was decided; it stays with the review."
LONGEST = Length(max=2000)


class StandDownForm(FlaskForm):
    """A stand-down from a review: filled in beforehand, so that two taps do it."""

    scope = RadioField("Where it holds", choices=[], validate_choice=True)
    first_day = DayField("From", [InputRequired("Write the first day.")])
    reason = TextAreaField("Reason", [InputRequired("Write the reason; it stays with the record."), LONGEST])


class AssignForm(FlaskForm):
    """Who is to look into it."""

    to = SelectField("Assign it to", [InputRequired("Choose somebody.")], choices=[])


class PlanForm(FlaskForm):
    """What has to be shown again."""

    plan = TextAreaField(
        "What has to be shown again", [InputRequired("Write what has to be shown again, and how."), LONGEST]
    )


class AnswerForm(FlaskForm):
    """Which observation showed it again."""

    observation = RadioField("The observation that shows it", coerce=int, choices=[], validate_choice=True)


class CloseForm(FlaskForm):
    """How a review ends."""

    outcome = TextAreaField("What was decided", [InputRequired(DECIDED), LONGEST])


class ReleaseForm(FlaskForm):
    """The release; it stands on one page with the form above, so its fields have ids of their own."""

    first_day = DayField("Released from", [InputRequired("Write from which day.")], id="released-from")
    outcome = TextAreaField("What was decided", [InputRequired(DECIDED), LONGEST], id="released-because")


class IncidentForm(FlaskForm):
    """What happened, where, when and who led."""

    day = DayField("Day", [InputRequired("Write the day, such as 2026-10-17.")])
    about = TimeField("About when", [InputRequired("Write the time, such as 10:20.")])
    block = SelectField("Block", [Optional()], choices=[])
    station = SelectField("Where", [Optional()], choices=[])
    led_by = SelectField("Who led there", [Optional()], choices=[])
    involved = SelectMultipleField("Volunteers it is about", [Optional()], choices=[])
    what = TextAreaField("What happened", [InputRequired("Write what happened."), LONGEST])


class AdditionForm(FlaskForm):
    """What is added to an incident, or put right in it."""

    what = TextAreaField("What is to be added", [InputRequired("Write what is to be added or put right."), LONGEST])
