"""The form that brings a roster along."""

from __future__ import annotations

from flask_wtf import FlaskForm
from wtforms import FileField
from wtforms.validators import InputRequired


class RosterForm(FlaskForm):
    """The files of a roster, packed as one."""

    file = FileField("Roster (ZIP)", [InputRequired("Choose a file.")])
