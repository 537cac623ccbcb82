"""The form that publishes an edition."""

from __future__ import annotations

from flask_wtf import FlaskForm
from wtforms import DateField, HiddenField
from wtforms.validators import InputRequired


class PublishForm(FlaskForm):
    """The day, and the hash of the files that were shown, so that nothing else is published than what was read."""

    effective = DateField("Takes effect on", [InputRequired("Choose the day on which it takes effect.")])
    shown = HiddenField()
