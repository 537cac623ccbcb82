"""Many sessions made at once from one, and one copied to another day."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from flask import render_template, request, url_for
from werkzeug.wrappers import Response

from mentor_training.calendar.actions import store_new, store_series
from mentor_training.calendar.queries import refuse_too_early, session_for, sessions, terms
from mentor_training.calendar.recurrence import Repeat, not_met
from mentor_training.calendar.rules import SessionFact, session_faults
from mentor_training.calendar.series import (
    Clash,
    clashes,
    code_after,
    naming_faults,
    seal_of,
    series_of,
    title_pattern,
)
from mentor_training.calendar.terms import holidays_of
from mentor_training.calendar.weekdays import misnamed, misnamed_in_words, named_for
from mentor_training.errors import Refused
from mentor_training.people.access import db, done, guarded, me, now, today
from mentor_training.people.permissions import Act
from mentor_training.planning.forms import CopyForm, SeriesForm
from mentor_training.planning.pages.blueprint import pages
from mentor_training.planning.pages.sessions import with_choices


@dataclass(frozen=True)
class Proposed:
    """The sessions that a series would make, and what to mind about them."""

    repeat: Repeat
    sessions: tuple[SessionFact, ...]
    clashes: tuple[Clash, ...]
    left_out: tuple[date, ...]
    not_met: tuple[date, ...]
    holidays: tuple[date, ...]

    @property
    def misnamed(self) -> str:
        """Say which are called after another day of the week than theirs; nothing where none is."""
        return misnamed_in_words(self.sessions)

    @property
    def seal(self) -> str:
        """Return what stands for them as they are shown."""
        return seal_of(self.sessions)


@pages.get("/sessions/series")
@guarded(Act.PLAN)
def series() -> str:
    """Show the form for a series, with whoever and whatever was there in the last session, or in one like it."""
    form = with_choices(SeriesForm(), None)
    before = sessions(db())
    like = next((one for one in before if one.code == request.args.get("like")), before[-1] if before else None)
    if like:
        form.fill(like)
    form.code.data = code_after([one.code for one in before])
    return _series_page(form)


@pages.post("/sessions/series")
@guarded(Act.PLAN)
def series_submit() -> Response | tuple[str, int]:
    """Show the sessions that would be made; store them when what was shown is sent back and is still the same."""
    form = with_choices(SeriesForm(), None)
    found = _proposed(form)
    if found is None:
        return _series_page(form), 422
    shown = request.form.get("shown", "")
    if shown != found.seal:
        return _series_page(form, found, is_other=bool(shown)), 200
    store_series(db(), now(), me(), found.sessions, found.repeat)
    codes = f"{found.sessions[0].code} to {found.sessions[-1].code}"
    return done(url_for("planning.listing"), f"{len(found.sessions)} sessions stored, {codes}.")


@pages.get("/sessions/<code>/copy")
@guarded(Act.PLAN)
def copy(code: str) -> str:
    """Show where a session may be copied to; its times, stations and people go with it."""
    session = session_for(db(), code)
    pattern, number = title_pattern(session.title)
    form = CopyForm(code=code_after([one.code for one in sessions(db())]), title=pattern.replace("#", str(number), 1))
    return _copy_page(form, session)


@pages.post("/sessions/<code>/copy")
@guarded(Act.PLAN)
def copy_submit(code: str) -> Response | tuple[str, int]:
    """Store the same session on another day, under a code of its own."""
    session, form = session_for(db(), code), CopyForm()
    if not form.validate_on_submit() or form.day.data is None:
        return _copy_page(form, session), 422
    new_code, title = (form.code.data or "").strip(), (form.title.data or "").strip()
    new = replace(session, code=new_code, title=title, day=form.day.data)
    try:
        refuse_too_early(db(), [new.day], now())
        if misnamed([new]) and not session_faults(new) and request.form.get("warned") != title:
            return _copy_page(form, session, new), 200
        store_new(db(), now(), me(), [new])
    except Refused as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        return _copy_page(form, session), 422
    return done(url_for("planning.session", code=new_code), "Copied: nobody is placed in it yet.")


def _proposed(form: SeriesForm) -> Proposed | None:
    """Return what a form asks for, or None with the errors beside its fields."""
    pattern, repeat = form.pattern(), form.repeat(holidays_of(terms(db())))
    if pattern is None or repeat is None:
        return None
    there = sessions(db())
    found = series_of(pattern, repeat, form.naming(), [one.code for one in there])
    form.form_errors.extend(naming_faults(found))
    try:
        refuse_too_early(db(), (one.day for one in found), now())
    except Refused as no:
        form.day.errors = [*form.day.errors, *no.reasons]
        return None
    if form.form_errors:
        return None
    others, holidays = not_met(repeat), holidays_of(terms(db()))
    gone = sorted(repeat.left_out.difference(others))
    return Proposed(
        repeat, found, clashes(found, there), tuple(day for day in gone if day not in holidays), others,
        tuple(day for day in gone if day in holidays),
    )  # fmt: skip


def _series_page(form: SeriesForm, found: Proposed | None = None, is_other: bool = False) -> str:
    kept = {"csrf_token", "once", "shown"}
    sent = [(name, value) for name, value in request.form.items(multi=True) if name not in kept]
    title = form.title.data or ""
    return render_template(
        "planning/series.html", form=form, found=found, is_other=is_other, sent=sent, today=today(),
        named=named_for(title, found.repeat.weekdays) if found and found.misnamed else "",
    )  # fmt: skip


def _copy_page(form: CopyForm, session: SessionFact, other_day: SessionFact | None = None) -> str:
    """Show the form; with a title that says the day, where the one that was written says another."""
    if other_day:
        form.title.data = named_for(other_day.title, [other_day.day.weekday()])
    return render_template("planning/copy.html", form=form, session=session, misnamed=other_day)
