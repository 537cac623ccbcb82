"""Typing in what was written on paper on a day when nothing else worked: one sheet of a skill after another."""

from __future__ import annotations

import secrets
from contextlib import suppress
from dataclasses import replace
from datetime import date

from flask import render_template, request, url_for
from werkzeug.wrappers import Response

from mentor_training.errors import Refused
from mentor_training.observing.access import partners_on
from mentor_training.observing.actions.observe import observe
from mentor_training.observing.forms import SheetForm
from mentor_training.observing.pages.blueprint import pages
from mentor_training.observing.pages.criteria import (
    is_filled_in,
    look_of,
    marked_another_edition,
    paper_form,
    posted_day,
    skill_on,
)
from mentor_training.observing.queries.floor import observed_for, volunteers_before
from mentor_training.observing.queries.standings import was_calibrated, was_entitled
from mentor_training.observing.rules.results import RESULT_WORDS, not_counted_in_words, objections_to_criteria
from mentor_training.observing.rules.sheets import first_day_that_counts, remark_from_paper
from mentor_training.observing.tables import Observation
from mentor_training.people.access import db, done, guarded, me, now, today
from mentor_training.people.permissions import Act
from mentor_training.people.tables import Person
from mentor_training.program.catalog import Policy, Skill
from mentor_training.program.editions import PublishedProgram

Answer = Response | tuple[str, int]


@pages.get("/sheets/<slug>")
@guarded(Act.OBSERVE)
def from_paper(slug: str) -> str:
    """Show the form for the next sheet; day and station stay as on the one before."""
    day = _kept_day()
    published, skill = skill_on(day or today(), slug)
    kept = {name: request.args.get(name, "") for name in ("person", "station")}
    given = {"key": secrets.token_urlsafe(18), "edition": str(published.number), "day": day, **kept}
    form = paper_form(published, skill, _people(), day or today(), **given)
    return _sheet_page(published, skill, form)


@pages.post("/sheets/<slug>")
@guarded(Act.OBSERVE)
def from_paper_submit(slug: str) -> Answer:
    """Store what a sheet says, and go on to the next; or show what is wrong with what was typed kept."""
    day = posted_day() or today()
    published, skill = skill_on(day, slug)
    form = paper_form(published, skill, _people(), day)
    if marked_another_edition(form, published, skill) or not is_filled_in(form, skill):
        return _sheet_page(published, skill, form), 422
    person = observed_for(db(), me(), form.person.data, today())
    look = look_of(form, person.code, skill)
    look = replace(look, remark=remark_from_paper(look.remark, form.time.data or ""))
    try:
        row = observe(db(), now(), today(), me(), look, partners_on(me().code, [look.day]))
    except Refused as no:
        form.form_errors.extend(no.reasons)
        db().rollback()
        return _sheet_page(published, skill, form), 422
    onward = url_for("observing.from_paper", slug=slug, day=look.day, station=look.station, last=row.id)
    return done(onward, _told(person, row, published.program.policy))


def _told(person: Person, row: Observation, policy: Policy) -> str:
    why = [not_counted_in_words(reason, policy) for reason in row.not_counted.split(";") if reason]
    if why:
        return f"Stored for {person.name}. It is kept and shown, and does not count. {' '.join(why)}"
    return f"Stored for {person.name}: {RESULT_WORDS[row.result].lower()}, and it counts. On to the next sheet."


def _people() -> list[Person]:
    return sorted(
        (row for row in volunteers_before(db(), me(), today()) if row.code != me().code), key=lambda row: row.name
    )


def _kept_day() -> date | None:
    with suppress(ValueError):
        return date.fromisoformat(request.args.get("day", ""))
    return None


def _sheet_page(published: PublishedProgram, skill: Skill, form: SheetForm) -> str:
    day, counts_from = form.day.data, first_day_that_counts(today(), published.program.policy)
    of_day = day or today()
    return render_template(
        "observing/from_paper.html",
        skill=skill,
        form=form,
        objections=objections_to_criteria(skill.criteria),
        day=day,
        counts_from=counts_from,
        is_late=day is not None and day < counts_from,
        late_after_days=published.program.policy.late_after_days,
        calibrated=was_calibrated(db(), me().code, skill.slug, of_day, now()),
        entitled=was_entitled(db(), me().code, skill.slug, of_day, now()),
        last=request.args.get("last", ""),
    )
