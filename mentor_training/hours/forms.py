"""The forms about hours, and the values they turn into."""

from __future__ import annotations

from datetime import UTC, date, datetime, tzinfo

from flask_wtf import FlaskForm
from wtforms import DateField, IntegerField, RadioField, SelectField, TextAreaField, TimeField
from wtforms.validators import InputRequired, Length

from mentor_training.hours.rules import BY_HAND_CATEGORIES
from mentor_training.web.forms import options


class ByHandForm(FlaskForm):
    """Time that no check-in recorded, of oneself."""

    category = RadioField(
        "What it was",
        [InputRequired("Choose which of the two it was.")],
        choices=options((name, name.capitalize()) for name in BY_HAND_CATEGORIES),
    )
    day = DateField("Day", [InputRequired("Write the day it was done.")])
    starts = TimeField("From", [InputRequired("Write when it began, such as 09:30.")])
    ends = TimeField("To", [InputRequired("Write when it ended, such as 10:15.")])
    reason = TextAreaField("What it was for", [InputRequired("Write what it was for."), Length(max=500)])

    def values(self, zone: tzinfo) -> tuple[str, date, datetime, datetime, str]:
        """Return category, day, beginning, end and reason of a form that was checked.

        A clock time that is there twice that night is the first of the two (RFC 5545, section 3.3.5); an end that would
        lie before the beginning then is the second.
        """
        day, starts, ends = self.day.data, self.starts.data, self.ends.data
        if day is None or starts is None or ends is None:
            raise ValueError("this form has not been checked")
        began, ended = (datetime.combine(day, clock, tzinfo=zone) for clock in (starts, ends))
        if ended.astimezone(UTC) < began.astimezone(UTC) <= ended.replace(fold=1).astimezone(UTC):
            ended = ended.replace(fold=1)
        return str(self.category.data), day, began, ended, self.reason.data or ""


class ByHandForOneForm(ByHandForm):
    """The same for a volunteer of one's section."""

    person = SelectField("Volunteer", [InputRequired("Choose whose time it was.")])


class AdjustForm(FlaskForm):
    """A correction of an entry."""

    difference = IntegerField("Minutes to add", [InputRequired("Write a whole number of minutes, such as -30 or 15.")])
    reason = TextAreaField(
        "Reason", [InputRequired("Write the reason; it stays with the correction."), Length(max=500)]
    )

    def values(self) -> tuple[int, str]:
        """Return the difference in minutes and the reason."""
        return self.difference.data or 0, self.reason.data or ""


class ThroughForm(FlaskForm):
    """The last day that a statement takes in. Asked by GET it changes nothing; a POST carries the page's own token."""

    class Meta:
        csrf = False

    through = DateField("Hours through", [InputRequired("Write the last day to take in.")])
