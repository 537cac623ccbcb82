"""The forms that publish an edition, and change the files that it is made of."""

from __future__ import annotations

from flask_wtf import FlaskForm
from wtforms import DateField, FileField, HiddenField, TextAreaField
from wtforms.validators import InputRequired, Length

LONGEST = 1_000_000


class PublishForm(FlaskForm):
    """The day, and the hash of the files that were shown, so that nothing else is published than what was read."""

    effective = DateField("Takes effect on", [InputRequired("Choose the day on which it takes effect.")])
    shown = HiddenField()


class EditForm(FlaskForm):
    """The text of a file, typed or uploaded, and the hash of the file that was shown."""

    text = TextAreaField("The file", [Length(max=LONGEST, message="The file is too long; one of a million signs is.")])
    upload = FileField("Or upload a file that takes its place")
    seen = HiddenField()


class RemoveForm(FlaskForm):
    """The hash of the file that was shown, so that no other is removed."""

    seen = HiddenField()
