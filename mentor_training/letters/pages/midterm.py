"""Mid-term notes: one's own; for whoever looks after a section, who gets one, what it says, sending and printing."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from flask import Response, redirect, render_template, url_for
from werkzeug.wrappers import Response as Answer

from mentor_training.errors import NotFound, Refused
from mentor_training.hours.queries import sections_for
from mentor_training.journal.queries import head
from mentor_training.letters import notes
from mentor_training.letters.digests import TOLD_AGAIN
from mentor_training.letters.note_sending import ask_for_notes, server_for
from mentor_training.letters.pages.blueprint import pages
from mentor_training.letters.pdf import midterm_pdf
from mentor_training.letters.queries.midterm import last_sent, note_people, notes_of, sent_notes, unreachable
from mentor_training.people.access import db, done, guarded, instance, me, now, today
from mentor_training.people.permissions import COORDINATOR, Act
from mentor_training.people.queries import person_for
from mentor_training.people.tables import Person
from mentor_training.web.as_of import current_as_of
from mentor_training.web.paper_size import as_pdf, asked_size


@pages.get("/letters/midterm")
@guarded(Act.SEE_OWN_HOURS)
def own_note() -> str:
    """Show a student's own note, as of the day looked at."""
    note = _notes([person_for(db(), me().code)])[0]
    return render_template("letters/midterm.html", note=note)


@pages.get("/letters/midterm.pdf")
@guarded(Act.SEE_OWN_HOURS)
def own_note_pdf() -> Response:
    """Give a student's own note as PDF."""
    return _printed([person_for(db(), me().code)], f"midterm-note-{me().code}")


@pages.get("/letters/midterm/sections")
@guarded(Act.SEND_NOTES)
def midterm_sections() -> str | Answer:
    """Show the sections whose notes one may send; with one only, go straight to it."""
    codes = [code for code in sections_for(db(), me(), *_asked()) if code]
    if len(codes) == 1:
        return redirect(url_for("letters.midterm_section", code=codes[0]))
    return render_template("letters/midterm_sections.html", codes=codes)


@pages.get("/letters/midterm/sections/<code>")
@guarded(Act.SEND_NOTES)
def midterm_section(code: str) -> str:
    """Show who would get a note, how each stands, and to whom one went today or before."""
    rows, away = note_people(db(), me(), code), unreachable(db())
    sent = sent_notes(db(), notes.key_of(code, today()))
    return render_template(
        "letters/midterm_section.html",
        code=code,
        notes=_notes(rows),
        sent=sent,
        done=[person for person, one in sent.items() if one.outcome not in map(str, TOLD_AGAIN)],
        before=last_sent(db(), [row.code for row in rows]),
        away=away,
        kept_back=[row.code for row in rows if row.code in away],
        cannot=_why_not(),
        whole=COORDINATOR in me().roles,
        today=today(),
    )


@pages.post("/letters/midterm/sections/<code>/send")
@guarded(Act.SEND_NOTES)
def send_notes_submit(code: str) -> Answer:
    """Have the notes of a section sent, as of today, and lead to how far it is."""
    job = ask_for_notes(db(), now(), me(), instance().settings, code, today())
    return done(url_for("jobs.job", number=job.number, then="on"))


@pages.get("/letters/midterm/sections/<code>/all.pdf")
@guarded(Act.SEND_NOTES)
def section_notes_pdf(code: str) -> Response:
    """Give all notes of a section as one PDF, each on a page of its own."""
    return _printed(note_people(db(), me(), code), f"midterm-notes-{code}")


@pages.get("/letters/midterm/sections/<code>/<person>")
@guarded(Act.SEND_NOTES)
def preview_note(code: str, person: str) -> str:
    """Show one note before it is sent: as it would be printed, and the mail word for word."""
    note, settings = _notes([_student(code, person)])[0], instance().settings
    return render_template(
        "letters/midterm_preview.html",
        code=code,
        note=note,
        subject=notes.subject_of(settings.title, note),
        text=notes.text_of(settings.title, note, settings.address),
    )


@pages.get("/letters/midterm/sections/<code>/<person>/note.pdf")
@guarded(Act.SEND_NOTES)
def preview_note_pdf(code: str, person: str) -> Response:
    """Give one note as PDF."""
    return _printed([_student(code, person)], f"midterm-note-{person}")


def _student(code: str, person: str) -> Person:
    found = next((row for row in note_people(db(), me(), code) if row.code == person), None)
    if found is None:
        raise NotFound(f"student {person} in {code}")
    return found


def _asked() -> tuple[date, datetime]:
    as_of = current_as_of(now(), instance().settings.zone)
    return as_of.day, as_of.known_at or now()


def _notes(rows: Sequence[Person]) -> tuple[notes.Note, ...]:
    return notes_of(db(), me(), rows, *_asked(), instance().settings.zone)


def _printed(rows: Sequence[Person], name: str) -> Response:
    size = asked_size()
    return as_pdf(midterm_pdf(_notes(rows), instance().settings, head(db()), size), name)


def _why_not() -> tuple[str, ...]:
    """Return what keeps notes from being sent; nothing where a mail server is set."""
    try:
        server_for(instance().settings)
    except Refused as no:
        return no.reasons
    return ()
