"""The hours of a section: what waits, approving, adjusting, entering by hand."""

from __future__ import annotations

from flask import Response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as Answer

from mentor_training.errors import Refused
from mentor_training.hours import actions, queries
from mentor_training.hours.exports import sums_csv
from mentor_training.hours.forms import AdjustForm, ByHandForOneForm, ThroughForm
from mentor_training.hours.pages.answering import SideBySide, asked, entry_beside, file, typed_beside
from mentor_training.hours.pages.blueprint import pages
from mentor_training.hours.rules import Entry, may_approve_in
from mentor_training.hours.unusual import WaitingLine
from mentor_training.people.access import db, done, guarded, instance, me, now, today
from mentor_training.people.permissions import Act
from mentor_training.people.queries import person_for
from mentor_training.program.catalog import CATEGORIES
from mentor_training.program.queries import edition_in_force
from mentor_training.web.forms import options

# How the volunteers of no section stand in an address.
NO_SECTION = "none"


@pages.get("/hours/sections")
@guarded(Act.SEE_SECTION_HOURS)
def sections() -> str | Answer:
    """Show the sections one looks after and what waits in each; with one section only, go straight to it."""
    on, known_at = asked()
    codes = queries.sections_for(db(), me(), on, known_at)
    if len(codes) == 1:
        return redirect(url_for("hours.section", code=codes[0] or NO_SECTION))
    lines = [(code, queries.logs_of_section(db(), code, on, known_at)) for code in codes]
    waiting = sum(len(log.waiting) for _, logs in lines for log in logs)
    return render_template("hours/sections.html", lines=lines, waiting=waiting, no_section=NO_SECTION)


@pages.get("/hours/sections/<code>")
@guarded(Act.SEE_SECTION_HOURS)
def section(code: str) -> str:
    """Show what waits for approval, what is flagged first, the sums of each volunteer, and the statements."""
    return _section_page(code)


@pages.get("/hours/sections/<code>/sums.csv")
@guarded(Act.SEE_SECTION_HOURS)
def section_csv(code: str) -> Response:
    """Give the sums of a section as CSV."""
    return file(sums_csv(_logs(code)), f"hours-{code}.csv")


@pages.post("/hours/sections/<code>/approve")
@guarded(Act.APPROVE_HOURS)
def approve_submit(code: str) -> Answer | tuple[str, int]:
    """Approve the entries that are ticked, with their corrections."""
    picked = request.form.getlist("entry", type=int)
    try:
        approved = actions.approve(db(), now(), me(), picked)
    except Refused as no:
        db().rollback()
        return _section_page(code, no.reasons), 422
    minutes = sum(one.minutes for one in approved)
    said = f"{len(approved)} entries approved" if len(approved) > 1 else "1 entry approved"
    return done(url_for("hours.section", code=code), f"{said}: {minutes} minutes.")


@pages.get("/hours/sections/<code>/by-hand")
@guarded(Act.APPROVE_HOURS)
def by_hand(code: str) -> str:
    """Show the form for preparation or orientation of a volunteer."""
    return _by_hand_page(code, _by_hand_form(code))


@pages.post("/hours/sections/<code>/by-hand")
@guarded(Act.APPROVE_HOURS)
def by_hand_submit(code: str) -> Answer | tuple[str, int]:
    """Enter preparation or orientation of a volunteer; it waits for approval like any other entry."""
    form, beside = _by_hand_form(code), None
    if form.validate_on_submit():
        typed = form.values(instance().settings.zone)
        try:
            row = actions.enter_by_hand(db(), now(), me(), form.person.data, *typed)
            return done(url_for("hours.section", code=code), f"{row.minutes} minutes entered for {row.person}.")
        except Refused as no:
            form.form_errors.extend(no.reasons)
            db().rollback()
            beside = typed_beside(form.person.data, *typed[1:4])
    return _by_hand_page(code, form, beside), 422


@pages.get("/hours/entries/<int:number>/adjust")
@guarded(Act.APPROVE_HOURS)
def adjust(number: int) -> str:
    """Show an entry, what corrected it so far, and the form for a correction."""
    return _adjust_page(_entry(number), AdjustForm())


@pages.post("/hours/entries/<int:number>/adjust")
@guarded(Act.APPROVE_HOURS)
def adjust_submit(number: int) -> Answer | tuple[str, int]:
    """Correct an entry by another one."""
    entry, form = _entry(number), AdjustForm()
    if form.validate_on_submit():
        try:
            row = actions.adjust(db(), now(), me(), number, *form.values())
            return done(_back_to(entry), f"Entry {number} corrected by {row.minutes:+d} minutes.")
        except Refused as no:
            form.form_errors.extend(no.reasons)
            db().rollback()
    return _adjust_page(entry, form), 422


def _code(written: str) -> str:
    return "" if written == NO_SECTION else written


def _logs(written: str) -> tuple[queries.Log, ...]:
    queries.open_section(me(), _code(written))
    return queries.logs_of_section(db(), _code(written), *asked())


def _section_page(written: str, refusals: tuple[str, ...] = ()) -> str:
    logs, code = _logs(written), _code(written)
    waiting = sorted((line for log in logs for line in log.waiting), key=WaitingLine.place)
    published = edition_in_force(db(), *asked())
    return render_template(
        "hours/section.html",
        code=code,
        written=written,
        logs=logs,
        waiting=waiting,
        titles=queries.titles_of(db(), [line.entry for line in waiting], published.program if published else None),
        categories=[
            name for name in CATEGORIES if any(log.sum_of(name).required or log.sum_of(name).approved for log in logs)
        ],
        course=published.program.course_of_section(code) if published else None,
        statements=queries.statements_of(db(), (code,)) if code else [],
        may_approve=may_approve_in(me(), (code,) if code else ()),
        form=ThroughForm(through=today()),
        refusals=refusals,
    )


def _by_hand_form(written: str) -> ByHandForOneForm:
    queries.open_section(me(), _code(written))
    form = ByHandForOneForm()
    form.person.choices = options((row.code, row.name) for row in queries.section_people(db(), _code(written)))
    return form


def _by_hand_page(written: str, form: ByHandForOneForm, beside: SideBySide | None = None) -> str:
    action, back = url_for("hours.by_hand_submit", code=written), url_for("hours.section", code=written)
    return render_template("hours/by_hand.html", form=form, action=action, back=back, beside=beside)


def _entry(number: int) -> Entry:
    """Return an entry of a volunteer whose hours the viewer looks after."""
    entry = queries.entry_for(db(), number)
    queries.open_section(me(), _section_of(entry))
    return entry


def _section_of(entry: Entry) -> str:
    mine = person_for(db(), entry.person).sections
    return next((code for code in mine if code in me().sections), mine[0] if mine else "")


def _back_to(entry: Entry) -> str:
    return url_for("hours.section", code=_section_of(entry) or NO_SECTION)


def _adjust_page(entry: Entry, form: AdjustForm) -> str:
    corrections = [one for one in queries.entries_of(db(), (entry.person,)) if one.corrects == entry.id]
    published = edition_in_force(db(), *asked())
    return render_template(
        "hours/adjust.html",
        entry=entry,
        corrections=corrections,
        stands=entry.minutes + sum(one.minutes for one in corrections),
        name=person_for(db(), entry.person).name,
        titles=queries.titles_of(db(), [entry], published.program if published else None),
        form=form,
        back=_back_to(entry),
        beside=entry_beside(entry),
    )
