"""The form of one skill's criteria, as pages that record an observation share it."""

from __future__ import annotations

import secrets
from contextlib import suppress
from datetime import date

from flask import request

from mentor_training.errors import NotFound, Refused
from mentor_training.observing.actions.observe import Look, criteria_changed, criteria_changed_in_words
from mentor_training.observing.forms import ObservationForm, given_marks, marked_edition, observation_form
from mentor_training.observing.queries.floor import participants_lately
from mentor_training.observing.rules.results import mark_faults
from mentor_training.people.access import db, now, today
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


def criteria_form(
    published: PublishedProgram, skill: Skill, seen_on: date | None = None, **given: object
) -> ObservationForm:
    """Return the form for a skill; with whom somebody can have been seen goes by today, and by another day if given."""
    program = published.program
    days = {today(), seen_on or today()}
    lately = {row.code: row for day in days for row in participants_lately(db(), day, program.policy.late_after_days)}
    by_name = sorted(lately.values(), key=lambda row: row.first_name)
    return observation_form(
        skill,
        [(slug, station.title) for slug, station in program.stations.items()],
        [(row.code, f"{row.first_name} ({row.code})") for row in by_name],
        **given,
    )


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
