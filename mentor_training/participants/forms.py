"""The forms about participants and their cards."""

from __future__ import annotations

from flask_wtf import FlaskForm
from wtforms import DateField, FileField, IntegerField, TextAreaField
from wtforms.validators import InputRequired, Length
from wtforms.widgets import HiddenInput


class ParticipantsFileForm(FlaskForm):
    """A participants.csv to take in."""

    file = FileField("participants.csv", [InputRequired("Choose a file.")])


class CardsFileForm(FlaskForm):
    """A cards.csv to take in."""

    cards = FileField("cards.csv", [InputRequired("Choose a file.")])


class CardForm(FlaskForm):
    """The next version of a card."""

    after = IntegerField(widget=HiddenInput(), default=0)
    text = TextAreaField(
        "What a mentor does",
        [InputRequired("Write what a mentor does."), Length(max=4000, message="4000 characters are the most.")],
    )
    first_day = DateField("In force from", [InputRequired("Write the day.")])
    review_by = DateField("Review by", [InputRequired("Write the day.")])
