"""The form that brings a register along."""

from __future__ import annotations

from flask_wtf import FlaskForm
from wtforms import FileField
from wtforms.validators import InputRequired


class RegisterFileForm(FlaskForm):
    """A register.csv to take in."""

    file = FileField("register.csv", [InputRequired("Choose a file.")])
