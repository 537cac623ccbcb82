"""The forms of observing: marks one by one, the sign-off, what is taken back, standings, calibrations."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, cast

from flask_wtf import FlaskForm
from wtforms import (
    HiddenField,
    PasswordField,
    RadioField,
    SelectField,
    SelectMultipleField,
    StringField,
    TextAreaField,
)
from wtforms.validators import InputRequired, Length, Optional, Regexp

from mentor_training.observing.rules.calibration import LONGEST_LINE, LONGEST_TITLE, MOST_PERFORMANCES, Performance
from mentor_training.observing.rules.results import MARK_WORDS, GivenMark
from mentor_training.observing.rules.standing import EVERY_SKILL
from mentor_training.people.tables import Person
from mentor_training.program.catalog import Program, Skill
from mentor_training.web.forms import DayField, options

TIME = r"([01]?\d|2[0-3]):[0-5]\d$"
LONGEST_ON_PAPER = 1900


class ObservationForm(FlaskForm):
    """One observation of one skill; `observation_form` makes its fields, since each skill has its own criteria."""

    live: RadioField
    participant: SelectField
    station: SelectField
    day: DayField
    remark: TextAreaField
    key: HiddenField
    edition: HiddenField


def observation_form(
    skill: Skill, stations: Iterable[tuple[str, str]], participants: Iterable[tuple[str, str]], **given: object
) -> ObservationForm:
    """Return the form for one skill: a mark and a way for each criterion, none of them chosen beforehand.

    The fields stand in the order of the page, and so does the summary of what is to be put right.
    """
    return _choosing(_as_form({**_mark_fields(skill), **_circumstances()}, given), stations, participants)


class SheetForm(ObservationForm):
    """One observation that was written on paper; `sheet_form` makes its fields."""

    person: SelectField
    time: StringField


def sheet_form(
    skill: Skill,
    people: Iterable[tuple[str, str]],
    stations: Iterable[tuple[str, str]],
    participants: Iterable[tuple[str, str]],
    **given: object,
) -> SheetForm:
    """Return the form for one sheet of a skill: its fields stand in the order in which they stand on paper."""
    fields: dict[str, object] = {
        "person": SelectField("Volunteer", [InputRequired("Choose whose sheet it is.")]),
        "time": StringField(
            "Time", [Optional(), Regexp(TIME, message="Write the time as it is on the sheet, such as 10:20.")]
        ),
    }
    fields |= _circumstances() | _mark_fields(skill)
    # A word before it says that it stood on paper; together they stay within what a remark may hold.
    fields["remark"] = TextAreaField("Remark", [Optional(), Length(max=LONGEST_ON_PAPER)])
    form = cast(SheetForm, _as_form(fields, given, SheetForm))
    form.person.choices = options([("", "Nobody chosen yet"), *people])
    _choosing(form, stations, participants)
    return form


def _as_form(
    fields: dict[str, Any], given: dict[str, object], base: type[ObservationForm] = ObservationForm
) -> ObservationForm:
    return cast(ObservationForm, type("OfSkill", (base,), fields)(**given))


def _choosing(
    form: ObservationForm, stations: Iterable[tuple[str, str]], participants: Iterable[tuple[str, str]]
) -> ObservationForm:
    form.station.choices = options([("", "No station"), *stations])
    form.participant.choices = options([("", "Nobody in particular"), *participants])
    return form


def _mark_fields(skill: Skill) -> dict[str, object]:
    fields: dict[str, object] = {}
    for number in range(1, len(skill.criteria) + 1):
        name, choices = f"Criterion {number}", options(MARK_WORDS.items())
        fields[f"mark_{number}"] = RadioField(name, choices=choices, validate_choice=False)
        fields[f"way_{number}"] = StringField(f"{name}: which other way", [Optional()])
    return fields


def _circumstances() -> dict[str, object]:
    how = options((("live", "Live"), ("simulated", "Simulated")))
    return {
        "live": RadioField("How it was seen", [InputRequired("Say whether it was live or simulated.")], choices=how),
        "participant": SelectField("With whom", [Optional()]),
        "station": SelectField("Where", [Optional()]),
        "day": DayField("Day", [InputRequired("Write the day on which you saw it, such as 2026-10-17.")]),
        "remark": TextAreaField("Remark", [Optional(), Length(max=2000)]),
        "key": HiddenField(),
        "edition": HiddenField(),
    }


def given_marks(form: ObservationForm, skill: Skill) -> dict[int, GivenMark]:
    """Return the marks that were given, by the number of the criterion."""
    marks = {}
    for number in range(1, len(skill.criteria) + 1):
        marking, way = form[f"mark_{number}"].data, form[f"way_{number}"].data
        if marking:
            marks[number] = GivenMark(marking, way or "")
    return marks


def marked_edition(form: ObservationForm) -> int | None:
    """Return the program edition whose criteria were marked, as the page said."""
    text = form.edition.data or ""
    return int(text) if text.isdecimal() and len(text) < 10 else None


class SignOffForm(FlaskForm):
    """The password again, and a reason where an observation disagrees."""

    reason = TextAreaField("Why you sign off all the same", [Optional(), Length(max=2000)])
    password = PasswordField(
        "Your password again", [InputRequired("Write your password; it stands for your signature.")]
    )


class StandingForm(FlaskForm):
    """What an observer is, for its days; or no longer is, from a day on."""

    kind = RadioField(
        "What changes",
        [InputRequired("Choose what changes.")],
        choices=options(
            (
                ("calibrated", "Calibrated, without a calibration"),
                ("entitled", "Entitled to a skill"),
                ("not-calibrated", "No longer calibrated"),
                ("not-entitled", "No longer entitled to a skill"),
            )
        ),
    )
    skill = SelectField("Skill", [Optional()])
    first_day = DayField("From", [InputRequired("Write the first day.")])
    last_day = DayField("Through", [Optional()])
    reason = TextAreaField("Why calibrated without a calibration", [Optional(), Length(max=2000)])


def standing_form(program: Program, **given: object) -> StandingForm:
    """Return the form with the skills of the program to choose from."""
    form = StandingForm(**given)
    skills = [(slug, skill.title) for slug, skill in program.skills.items()]
    form.skill.choices = options([(EVERY_SKILL, "Every skill"), *skills])
    return form


class ConflictsForm(FlaskForm):
    """Whom an observer neither observes nor signs off."""

    people = SelectMultipleField("Conflict list", [Optional()])


def conflicts_form(everybody: Iterable[Person], observer: Person, **given: object) -> ConflictsForm:
    """Return the form with everybody who could be on the list, the list as it stands chosen."""
    form = ConflictsForm(people=list(observer.conflicts), **given)
    others = (row for row in everybody if row.code != observer.code)
    form.people.choices = options((row.code, f"{row.name} ({row.code})") for row in others)
    return form


class StrikeForm(FlaskForm):
    """Why an observation is struck."""

    reason = TextAreaField(
        "Why it is struck", [InputRequired("Write why it is struck; it stays with the observation."), Length(max=2000)]
    )


class WithdrawForm(FlaskForm):
    """From which day a sign-off no longer holds, and why."""

    first_day = DayField("From", [InputRequired("Write from which day.")])
    reason = TextAreaField("Reason", [InputRequired("Write the reason; it stays with the record."), Length(max=2000)])


class CalibrationForm(FlaskForm):
    """A staged set with its performances; `calibration_form` makes a row of fields for each."""

    title = StringField("Title", [InputRequired("Write what the set is called."), Length(max=LONGEST_TITLE)])
    day = DayField("Scored from", [InputRequired("Write the first day on which it may be scored.")])


def calibration_form(program: Program, **given: object) -> CalibrationForm:
    """Return the form with the skills of the program to choose from."""
    skills = options([("", "No performance"), *((slug, one.title) for slug, one in program.skills.items())])
    fields: dict[str, Any] = {}
    for number in range(1, MOST_PERFORMANCES + 1):
        lines = {"called": "called", "played": "what is played", "source": "where the clip lies, or who plays"}
        fields[f"skill_{number}"] = SelectField(f"Performance {number}: skill", [Optional()], choices=skills)
        for name, label in lines.items():
            limits = [Optional(), Length(max=LONGEST_LINE)]
            fields[f"{name}_{number}"] = StringField(f"Performance {number}: {label}", limits)
    return cast(CalibrationForm, type("OfProgram", (CalibrationForm,), fields)(**given))


def given_performances(form: CalibrationForm) -> list[Performance]:
    """Return the rows in which something was written, in their order."""
    rows = (
        [str(form[f"{name}_{number}"].data or "") for name in ("called", "skill", "played", "source")]
        for number in range(1, MOST_PERFORMANCES + 1)
    )
    return [Performance(*row) for row in rows if any(cell.strip() for cell in row)]


class KeyForm(ObservationForm):
    """The key of one performance: for each criterion a mark, and one that is right as well."""

    first: SelectField
    second: SelectField


def key_form(skill: Skill, able: Iterable[Person], **given: object) -> KeyForm:
    """Return the form for the key of a skill's criteria; none is chosen beforehand."""
    people = options([("", "Nobody chosen yet"), *((row.code, f"{row.name} ({row.code})") for row in able)])
    fields: dict[str, Any] = {}
    for number in range(1, len(skill.criteria) + 1):
        name, marks = f"Criterion {number}", list(MARK_WORDS.items())
        fields[f"mark_{number}"] = RadioField(name, choices=options(marks), validate_choice=False)
        either = options([("", "Nothing else"), *marks])
        fields[f"or_{number}"] = SelectField(f"{name}: right as well", [Optional()], choices=either)
    for name, label in (("first", "Agreed by"), ("second", "And by")):
        fields[name] = SelectField(label, [InputRequired("Choose who agreed on it.")], choices=people)
    return cast(KeyForm, _as_form(fields, given, KeyForm))


def given_key(form: KeyForm, skill: Skill) -> dict[int, tuple[str, ...]]:
    """Return the marks that are right, by the number of the criterion; none where the first is not chosen."""
    return {
        number: tuple(mark for mark in (form[f"mark_{number}"].data, form[f"or_{number}"].data) if mark)
        for number in range(1, len(skill.criteria) + 1)
        if form[f"mark_{number}"].data
    }


def score_form(skill: Skill, **given: object) -> ObservationForm:
    """Return the form for scoring one performance: marks and ways as in an observation, and nothing else."""
    return _as_form(_mark_fields(skill), given)


class RetireForm(FlaskForm):
    """Why a calibration is retired."""

    words = "Write why it is retired, such as what is wrong with its key; it stays with the set."
    reason = TextAreaField("Why it is retired", [InputRequired(words), Length(max=2000)])


class CalibrateForm(FlaskForm):
    """Through which day an observer who passed is calibrated."""

    last_day = DayField("Through", [InputRequired("Write the last day.")])
