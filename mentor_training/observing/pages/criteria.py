"""The form of one skill's criteria, as pages that record an observation share it."""

from __future__ import annotations

import secrets
from collections.abc import Iterable
from contextlib import suppress
from datetime import date

from flask import request

from mentor_training.errors import NotFound, Refused
from mentor_training.observing.actions.observe import Look, criteria_changed, criteria_changed_in_words
from mentor_training.observing.forms import (
    ObservationForm,
    SheetForm,
    given_marks,
    marked_edition,
    observation_form,
    sheet_form,
)
from mentor_training.observing.queries.floor import participants_lately
from mentor_training.observing.rules.results import mark_faults
from mentor_training.people.access import db, now, today
from mentor_training.people.tables import Person
from mentor_training.program.catalog import Skill
from mentor_training.program.editions import PublishedProgram
from mentor_training.program.queries import require_edition


def skill_on(day: date, slug: str) -> tuple[PublishedProgram, Skill]:
    """Return a skill as it stands on a day; where no edition was in force then, as it stands today."""
    published = None
    with suppress(Refused):
        published = require_edition(db(), day, now())
    published = published or require_edition(db(), today(), now())
    skill = published.program.skills.get(slug)
    if skill is None:
        raise NotFound(f"skill {slug}")
    return published, skill


def posted_day() -> date | None:
    """Return the day that was sent with the form, which says whose edition's criteria stand on it."""
    with suppress(ValueError):
        return date.fromisoformat(request.form.get("day", ""))
    return None


def criteria_form(published: PublishedProgram, skill: Skill, **given: object) -> ObservationForm:
    """Return the form for a skill that is seen now."""
    return observation_form(skill, _stations(published), _lately(published, today()), **given)


def paper_form(
    published: PublishedProgram, skill: Skill, people: Iterable[Person], seen_on: date, **given: object
) -> SheetForm:
    """Return the form for a sheet of a skill; with whom it was seen goes by the day on the sheet, and by today."""
    participants = dict(sorted({*_lately(published, today()), *_lately(published, seen_on)}, key=lambda one: one[1]))
    volunteers = [(row.code, f"{row.name} ({row.code})") for row in people]
    return sheet_form(skill, volunteers, _stations(published), participants.items(), **given)


def _stations(published: PublishedProgram) -> list[tuple[str, str]]:
    return [(slug, station.title) for slug, station in published.program.stations.items()]


def _lately(published: PublishedProgram, day: date) -> list[tuple[str, str]]:
    rows = participants_lately(db(), day, published.program.policy.late_after_days)
    return [(row.code, f"{row.first_name} ({row.code})") for row in rows]


def marked_another_edition(form: ObservationForm, published: PublishedProgram, skill: Skill) -> bool:
    """Say whether the criteria on the page were not those of the day that was written; if so, take the marks off."""
    if form.day.data is None or not criteria_changed(db(), now(), marked_edition(form), published, skill):
        return False
    for number in range(1, len(skill.criteria) + 1):
        form[f"mark_{number}"].data = None
        form[f"way_{number}"].data = ""
    form.edition.data = str(published.number)
    form.form_errors.append(criteria_changed_in_words(form.day.data, published))
    return True


def is_filled_in(form: ObservationForm, skill: Skill) -> bool:
    """Say whether all is there, each criterion marked by itself; what is missing stands beside its field."""
    marks = given_marks(form, skill)
    is_valid = form.validate_on_submit()
    faults = mark_faults(skill.criteria, marks)
    for number, fault in faults.items():
        form[f"{'way' if number in marks else 'mark'}_{number}"].errors = [fault]
    return is_valid and not faults and form.day.data is not None


def look_of(form: ObservationForm, person: str, skill: Skill) -> Look:
    """Return what was seen, as the form says it."""
    return Look(
        key=form.key.data or secrets.token_urlsafe(18),
        person=person,
        skill=skill.slug,
        day=form.day.data or today(),
        live=form.live.data == "live",
        marks=given_marks(form, skill),
        station=form.station.data or "",
        participant=form.participant.data or "",
        remark=form.remark.data or "",
        edition=marked_edition(form),
    )
