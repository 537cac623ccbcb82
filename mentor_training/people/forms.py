"""The forms about accounts."""

from __future__ import annotations

from flask_wtf import FlaskForm
from wtforms import EmailField, FileField, HiddenField, IntegerField, PasswordField
from wtforms.validators import InputRequired, Length, NumberRange

from mentor_training.people.rules import LONGEST, MOST_EXTRA_TIME


class SignInForm(FlaskForm):
    """Address and password."""

    email = EmailField("E-mail", [InputRequired("Write your e-mail address."), Length(max=254)])
    password = PasswordField("Password", [InputRequired("Write your password."), Length(max=LONGEST)])
    then = HiddenField()


class WelcomeForm(FlaskForm):
    """The password an invited person chooses."""

    password = PasswordField("New password", [InputRequired("Choose a password.")])
    again = PasswordField("The same again", [InputRequired("Write it once more.")])


class ExtraTimeForm(FlaskForm):
    """How much more time a person is allowed."""

    percent = IntegerField(
        "Extra time, in percent",
        [
            InputRequired("Write a whole number, 0 for none."),
            NumberRange(0, MOST_EXTRA_TIME, f"Write a whole number from 0 to {MOST_EXTRA_TIME}."),
        ],
    )


class RosterForm(FlaskForm):
    """A people.csv to take in."""

    file = FileField("people.csv", [InputRequired("Choose a file.")])
