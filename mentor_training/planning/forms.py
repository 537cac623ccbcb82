"""The forms about sessions and their plans."""

from __future__ import annotations

import re
from collections.abc import Collection
from datetime import date

from flask_wtf import FlaskForm
from wtforms import (
    DateField,
    FileField,
    HiddenField,
    SelectField,
    SelectMultipleField,
    StringField,
    TextAreaField,
    TimeField,
)
from wtforms.validators import InputRequired, Length, NumberRange, Optional, Regexp

from mentor_training.calendar.availability import TERM, WHOLE, read_answer, read_spans, read_week, write_spans
from mentor_training.calendar.recurrence import WEEKDAYS as WEEK_NAMES
from mentor_training.calendar.recurrence import Repeat, read_days, repeat_faults, without
from mentor_training.calendar.rules import SessionFact, read_blocks, session_faults, write_blocks
from mentor_training.calendar.series import SESSIONS, WEEKS, Naming, code_fault, title_pattern
from mentor_training.calendar.terms import TermFact
from mentor_training.calendar.timetable import BLOCKS_FORM
from mentor_training.csv_form import CODE
from mentor_training.web.forms import DayField, WholeField, options

# The validator asks only how a text begins; what follows would stand in an address and in records that refuse it.
WHOLE_CODE = re.compile(rf"{CODE.pattern}\s*\Z")

WEEKDAYS = [
    (str(number), name)
    for number, name in enumerate(("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"))
]
TIMES_FORM = "Write times such as 09:00-12:00, more than one with ; between them."


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


class SeriesForm(SessionForm):
    """Many sessions made from one: on which days, how they are called; all else as in one session."""

    day = DayField("First day", [InputRequired("Write the first day.")])
    weekdays = SelectMultipleField(
        "Days of the week", [InputRequired("Choose at least one day of the week.")], choices=options(WEEKDAYS)
    )
    every = WholeField("Every so many weeks", [InputRequired("Write a whole number; 1 is every week.")], default=1)
    until = DayField("Last day", [Optional()])
    count = WholeField("Or how many", [Optional()])
    left_out = TextAreaField("Days left out", [Optional(), Length(max=10_000)])
    number = WholeField(
        "The first number in the titles",
        [InputRequired("Write a whole number."), NumberRange(0, 100_000, "Write a whole number from 0 to 100000.")],
        default=1,
    )
    counts = SelectField(
        "The number counts", choices=options([(SESSIONS, "sessions"), (WEEKS, "weeks with a session")]), default=WEEKS
    )

    def fill(self, session: SessionFact) -> None:
        """Show what a session has, its title numbered on; when the series begins is still to be said."""
        super().fill(session)
        self.title.data, self.number.data = title_pattern(session.title)
        self.weekdays.data, self.day.data = [str(session.day.weekday())], None

    def pattern(self) -> SessionFact | None:
        """Return the one session that the others are made from, or None with the errors beside the fields."""
        session = self.session()
        if session is None:
            return None
        wrong = code_fault(session.code)
        self.code.errors = [wrong] if wrong else []
        for fault in session_faults(session):
            field = getattr(self, fault.detail)
            field.errors = [*field.errors, f"{fault.what[0].upper()}{fault.what[1:]}."]
        return None if self.errors else session

    def repeat(self, holidays: Collection[date] = ()) -> Repeat | None:
        """Return on which days, without the terms' holidays, or None with the errors beside the fields. Asked after
        `pattern`.
        """
        first, every = self.day.data, self.every.data
        if first is None or every is None:
            return None
        left_out, wrong = read_days(self.left_out.data or "")
        self.left_out.errors = [*self.left_out.errors, *wrong]
        weekdays = tuple(number for number, (value, _) in enumerate(WEEKDAYS) if value in (self.weekdays.data or ()))
        found = Repeat(first, weekdays, self.until.data, self.count.data, every, left_out)
        faults = repeat_faults(found)
        if not faults:
            found = without(found, holidays)
            faults = repeat_faults(found)
        for fault in faults:
            field = getattr(self, fault.detail)
            field.errors = list(dict.fromkeys([*field.errors, fault.what]))
        return None if self.errors else found

    def naming(self) -> Naming:
        """Return how the sessions are called. Asked of a form without errors."""
        title, number = (self.title.data or "").strip(), self.number.data or 0
        return Naming((self.code.data or "").strip(), title, number, self.counts.data or SESSIONS)


class CopyForm(FlaskForm):
    """The same session on another day."""

    day = DayField("Day", [InputRequired("Write the day.")])
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


class SessionsFileForm(FlaskForm):
    """A sessions.csv to take in."""

    file = FileField("sessions.csv", [InputRequired("Choose a file.")])


class PlaceForm(FlaskForm):
    """Somebody for a participant, to lead, or for a duty, in one block; each choice is a station and a volunteer."""

    participant = HiddenField()
    role = HiddenField()
    # The action itself refuses with the reasons; "not a valid choice" would hide them.
    who = SelectField("Volunteer", [InputRequired("Choose a volunteer.")], validate_choice=False)


class ChangeForm(FlaskForm):
    """Another place for somebody who is placed, or somebody to swap with."""

    # As above: the rules refuse with their reasons.
    to = SelectField("Change", [InputRequired("Choose a change.")], validate_choice=False)


class TermForm(FlaskForm):
    """A term: its days, and the holidays that series leave out."""

    code = StringField(
        "Code",
        [
            InputRequired("Write a code such as fall-2026."),
            Regexp(WHOLE_CODE, message="Write letters and digits, such as fall-2026."),
        ],
    )
    title = StringField(
        "Title", [InputRequired("Write a title."), Length(max=200, message="200 characters are the most.")]
    )
    first_day = DayField("First day", [InputRequired("Write the first day.")])
    last_day = DayField("Last day", [InputRequired("Write the last day.")])
    holidays = TextAreaField("Holidays", [Optional(), Length(max=10_000)])

    def fill(self, term: TermFact) -> None:
        """Show a term as it stands."""
        self.code.data, self.title.data = term.code, term.title
        self.first_day.data, self.last_day.data = term.first_day, term.last_day
        self.holidays.data = "\n".join(day.isoformat() for day in term.holidays)

    def term(self) -> TermFact | None:
        """Return what was written as a term, or None with the errors beside the fields."""
        if not self.validate_on_submit() or self.first_day.data is None or self.last_day.data is None:
            return None
        holidays, wrong = read_days(self.holidays.data or "")
        if wrong:
            self.holidays.errors = list(wrong)
            return None
        code, title = (self.code.data or "").strip(), (self.title.data or "").strip()
        return TermFact(code, title, self.first_day.data, self.last_day.data, tuple(sorted(holidays)))


class SayForm(FlaskForm):
    """When somebody can come: a whole answer by its button, or times, by the day of the week or of one day."""

    about = HiddenField()
    which = StringField("Day")
    times = StringField("Only at these times")
    mo = StringField("Monday")
    tu = StringField("Tuesday")
    we = StringField("Wednesday")
    th = StringField("Thursday")
    fr = StringField("Friday")
    sa = StringField("Saturday")
    su = StringField("Sunday")

    def week_fields(self) -> list[StringField]:
        """Return the fields of the week, Monday first."""
        return [self.mo, self.tu, self.we, self.th, self.fr, self.sa, self.su]

    def of_term(self, term: str) -> SayForm:
        """Return the form with its fields named apart from those of other terms on the same page."""
        for field in self.week_fields():
            field.id = field.label.field_id = f"{field.name}-{term}"
        return self

    def fill_week(self, answer: str) -> None:
        """Show the times that were said of a term."""
        week = read_week(answer) or {}
        for weekday, field in enumerate(self.week_fields()):
            field.data = write_spans(week.get(weekday, ()))

    def answer(self, pressed: str) -> str | None:
        """Return what is said, or None with the errors beside the fields; `pressed` is a whole answer, or `times`."""
        if pressed in WHOLE:
            return pressed
        if self.about.data != TERM:
            if read_answer(self.about.data or "", self.times.data or "") is None:
                self.times.errors = [TIMES_FORM]
            return None if self.errors else self.times.data
        written = [(name, field) for name, field in zip(WEEK_NAMES, self.week_fields(), strict=True) if field.data]
        for _, field in written:
            if read_spans((field.data or "").strip()) is None:
                field.errors = [TIMES_FORM]
        if not written:
            self.mo.errors = ["Write at least one time, or press Not at all."]
        if self.errors:
            return None
        return ";".join(f"{name} {part.strip()}" for name, field in written for part in (field.data or "").split(";"))


class FileForm(FlaskForm):
    """A CSV file to take in."""

    file = FileField("File", [InputRequired("Choose a file.")])
