"""The forms about sessions and their plans."""

from __future__ import annotations

import re

from flask_wtf import FlaskForm
from wtforms import DateField, FileField, HiddenField, SelectField, SelectMultipleField, StringField, TimeField
from wtforms.validators import InputRequired, Length, Optional, Regexp

from mentor_training.calendar.rules import SessionFact, read_blocks, write_blocks
from mentor_training.calendar.timetable import BLOCKS_FORM
from mentor_training.csv_form import CODE

# The validator asks only how a text begins; what follows would stand in an address and in records that refuse it.
WHOLE_CODE = re.compile(rf"{CODE.pattern}\s*\Z")


class SessionForm(FlaskForm):
    """A session: when it is, how it is cut, what is open, who is expected."""

    code = StringField(
        "Code",
        [
            InputRequired("Write a code such as s-23."),
            Regexp(WHOLE_CODE, message="Write letters and digits, such as s-23."),
        ],
    )
    title = StringField(
        "Title", [InputRequired("Write a title."), Length(max=200, message="200 characters are the most.")]
    )
    day = DateField("Day", [InputRequired("Write the day.")])
    starts = TimeField("Starts", [InputRequired("Write when it starts.")])
    ends = TimeField("Ends", [InputRequired("Write when it ends.")])
    blocks = StringField("Blocks", [InputRequired("Say how the session is cut.")])
    stations = SelectMultipleField("Stations and duties open", [Optional()])
    participants = SelectMultipleField("Participants expected", [Optional()])
    volunteers = SelectMultipleField("Volunteers expected", [Optional()])
    observers = SelectMultipleField("Observers expected", [Optional()])

    def fill(self, session: SessionFact) -> None:
        """Show a session as it stands."""
        self.code.data, self.title.data, self.day.data = session.code, session.title, session.day
        self.starts.data, self.ends.data = session.starts, session.ends
        self.blocks.data = write_blocks(session.blocks)
        self.stations.data, self.participants.data = list(session.stations), list(session.participants)
        self.volunteers.data, self.observers.data = list(session.volunteers), list(session.observers)

    def session(self) -> SessionFact | None:
        """Return what was written as a session, or None with the errors beside the fields."""
        if not self.validate_on_submit():
            return None
        day, starts, ends = self.day.data, self.starts.data, self.ends.data
        if day is None or starts is None or ends is None:
            return None
        blocks = read_blocks((self.blocks.data or "").strip(), starts, ends)
        if blocks is None:
            self.blocks.errors = [BLOCKS_FORM[0].upper() + BLOCKS_FORM[1:] + "."]
            return None
        lists = (tuple(one.data or ()) for one in (self.stations, self.participants, self.volunteers, self.observers))
        return SessionFact(
            (self.code.data or "").strip(), (self.title.data or "").strip(), day, starts, ends, blocks, *lists
        )


class SessionsFileForm(FlaskForm):
    """A sessions.csv to take in."""

    file = FileField("sessions.csv", [InputRequired("Choose a file.")])


class PlaceForm(FlaskForm):
    """Somebody for a participant, to lead, or for a duty, in one block; each choice is a station and a volunteer."""

    participant = HiddenField()
    role = HiddenField()
    # The action itself refuses with the reasons; "not a valid choice" would hide them.
    who = SelectField("Volunteer", [InputRequired("Choose a volunteer.")], validate_choice=False)
