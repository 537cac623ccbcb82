"""Conversations that release a hold: who waits for one, and recording it."""

from __future__ import annotations

from datetime import date

from flask import render_template, url_for
from werkzeug.wrappers import Response

from mentor_training.clock import day_in
from mentor_training.errors import Refused
from mentor_training.learning import actions, queries
from mentor_training.learning.forms import TalkForm
from mentor_training.learning.pages.blueprint import known_now, pages
from mentor_training.people.access import db, done, guarded, instance, me, now, today
from mentor_training.people.permissions import Act
from mentor_training.people.queries import volunteer_for, volunteers
from mentor_training.web.display import show_day


@pages.get("/talks")
@guarded(Act.HOLD_TALK)
def talks() -> str:
    """List everybody whose further attempts wait for a conversation, the longest waiting first."""
    then = known_now()
    names = {row.code: row.name for row in volunteers(db())}
    held = [one for one in queries.all_held(db(), then.program, now()) if one.person in names]
    return render_template("learning/talks.html", held=held, names=names, modules=then.program.modules)


@pages.get("/talks/<person>/<quiz>")
@guarded(Act.HOLD_TALK)
def talk(person: str, quiz: str) -> str:
    """Show what to talk about, and the form to record it in."""
    return _talk_page(person, quiz, TalkForm(day=today()))


@pages.post("/talks/<person>/<quiz>")
@guarded(Act.HOLD_TALK)
def talk_submit(person: str, quiz: str) -> Response | tuple[str, int]:
    """Record the conversation; it releases the hold."""
    form = TalkForm()
    if not form.validate_on_submit() or form.day.data is None:
        return _talk_page(person, quiz, form), 422
    zone, note = instance().settings.zone, (form.note.data or "").strip()
    wrong = _wrong_day(person, quiz, form.day.data)
    if wrong:
        form.day.errors = [wrong]
        return _talk_page(person, quiz, form), 422
    try:
        actions.record_talk(db(), now(), me(), zone, person, quiz, form.day.data, note)
    except Refused as no:
        form.form_errors.extend(no.reasons)
        db().rollback()
        return _talk_page(person, quiz, form), 422
    name = volunteer_for(db(), me(), person).name
    return done(url_for("learning.talks"), f"Recorded. {name} can try again once the cool-down is over.")


def _wrong_day(person: str, quiz: str, day: date) -> str:
    """Say beside the field what is wrong with the day; the action would refuse it, too."""
    then = known_now()
    held = queries.held_for(db(), person, then.quiz(quiz), then.program.policy, now())
    if held is None:
        return ""
    since = day_in(then.zone, held.hold.since)
    if since <= day <= today():
        return ""
    return f"Give a day from {show_day(since)}, when the hold began, to today."


def _talk_page(person: str, quiz: str, form: TalkForm) -> str:
    then = known_now()
    volunteer, bank = volunteer_for(db(), me(), person), then.quiz(quiz)
    held = queries.held_for(db(), person, bank, then.program.policy, now())
    module = then.module(bank.module)
    sections = [one for one in module.sections if held and one.slug in held.sections]
    return render_template(
        "learning/talk.html", volunteer=volunteer, quiz=bank, module=module, held=held, sections=sections, form=form
    )
