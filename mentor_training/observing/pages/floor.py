"""Today's people, one volunteer's skills, and a volunteer's own."""

from __future__ import annotations

from datetime import date, datetime

from flask import render_template, request

from mentor_training.observing.access import stakes_on
from mentor_training.observing.pages.blueprint import pages
from mentor_training.observing.pages.urgent import why_now
from mentor_training.observing.queries.floor import (
    GROUPS,
    floor_on,
    observed_for,
    skill_states,
    state_of,
    stations_on,
    to_see,
)
from mentor_training.observing.queries.history import shown_observations
from mentor_training.observing.queries.reviews import open_files
from mentor_training.observing.queries.standings import was_calibrated
from mentor_training.observing.rules.standing import EVERY_SKILL
from mentor_training.people.access import db, guarded, instance, me, now
from mentor_training.people.access import today as today_now
from mentor_training.people.permissions import Act
from mentor_training.people.queries import person_for
from mentor_training.program.queries import require_edition
from mentor_training.web.as_of import current_as_of


@pages.get("/observe")
@guarded(Act.SEE_OBSERVATIONS)
def today() -> str:
    """Show who is expected, the most urgent first, and what each is to be seen doing, with the reason."""
    asked_day, known_at = asked()
    floor = floor_on(db(), me(), asked_day, today_now(), everybody="everybody" in request.args)
    day = floor.session.day if floor.session else asked_day
    stakes = stakes_on([person.code for person in floor.people], day, known_at)
    lines = to_see(db(), floor.people, day, known_at, stakes)
    words = request.args.get("name", "").strip()
    return render_template(
        "observing/today.html",
        floor=floor,
        lines=lines,
        stations=require_edition(db(), day, known_at).program.stations if lines else {},
        why_now=why_now,
        found=[line for line in lines if words.casefold() in line.person.name.casefold()] if words else [],
        words=words,
        reviews=len(open_files(db(), me())),
        due=me().may(Act.OBSERVE) and not was_calibrated(db(), me().code, EVERY_SKILL, today_now(), now()),
    )


@pages.get("/observe/<code>")
@guarded(Act.SEE_OBSERVATIONS)
def volunteer(code: str) -> str:
    """Show the skills of one volunteer: ready, begun, not begun, signed off; the most urgent first, with the reason.

    Of those not begun, the ones of today's stations stand before the others.
    """
    day, known_at = asked()
    person = observed_for(db(), me(), code, today_now())
    program = require_edition(db(), day, known_at).program
    here = {
        item.removeprefix("skill/")
        for slug in stations_on(db(), day)
        if slug in program.stations
        for item in program.stations[slug].practices
    }
    states = skill_states(db(), person, day, known_at, stakes_on([code], day, known_at))
    groups = {group: [state for state in states if state.group == group] for group in GROUPS}
    groups["open"].sort(key=lambda state: state.skill.slug not in here)
    return render_template(
        "observing/volunteer.html",
        person=person, groups=groups, here=here, stations=program.stations, why_now=why_now,
    )  # fmt: skip


@pages.get("/path/skills")
@guarded(Act.SEE_OWN_PATH)
def own() -> str:
    """Show a volunteer how each skill of their own stands."""
    day, known_at = asked()
    states = skill_states(db(), person_for(db(), me().code), day, known_at)
    groups = {group: [state for state in states if state.group == group] for group in GROUPS}
    return render_template("observing/own.html", groups=groups, total=len(states))


@pages.get("/path/skills/<slug>")
@guarded(Act.SEE_OWN_PATH)
def own_skill(slug: str) -> str:
    """Show a volunteer what has been seen of one skill of their own, and what is still missing."""
    day, known_at = asked()
    state = state_of(db(), person_for(db(), me().code), slug, day, known_at)
    shown = shown_observations(db(), me(), me().code, slug, known_at)
    return render_template("observing/own_skill.html", skill=state.skill, state=state, shown=shown)


def asked() -> tuple[date, datetime]:
    """Return the day that the page is asked about, and the moment whose knowledge it is asked from."""
    as_of = current_as_of(now(), instance().settings.zone)
    return as_of.day, as_of.known_at or now()
