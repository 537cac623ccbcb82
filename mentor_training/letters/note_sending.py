"""Sending a section's mid-term notes by mail, in the background: each begun and committed before it goes out.

A worker that is killed leaves a mail that counts as sent; the one that takes the job up goes on with the next.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from typing import Any

from sqlalchemy.orm import Session

from mentor_training.database.instance import Instance
from mentor_training.errors import Refused
from mentor_training.jobs.actions import enqueue
from mentor_training.jobs.queries import open_of
from mentor_training.jobs.tables import Job
from mentor_training.jobs.work import Work
from mentor_training.journal.actions import take_turn, write
from mentor_training.journal.queries import newest_moment
from mentor_training.letters import notes
from mentor_training.letters.actions import ToSend, begin_note
from mentor_training.letters.notes import Note, key_of
from mentor_training.letters.posting import NotReached, Post
from mentor_training.letters.queries.midterm import note_people, notes_of, unreachable
from mentor_training.letters.queries.told import told
from mentor_training.letters.sending import Letter, send_all
from mentor_training.people.permissions import CONSOLE, Actor
from mentor_training.people.queries import actor_of, person_for
from mentor_training.settings import MailServer, Settings, SettingsError, mail_server

KIND = "midterm-notes"


def ask_for_notes(db: Session, at: datetime, by: Actor, settings: Settings, section: str, on: date) -> Job:
    """Have the notes of a section sent, as of a day; where that is being done already, it is that one job."""
    server_for(settings)
    take_turn(db)
    many, key = len(note_people(db, by, section)), f"{KIND}/{section}"
    if open_of(db, key) is None:
        write(db, at, by.code, "midterm-notes", section, {"on": on.isoformat(), "people": many})
    return enqueue(db, at, by.code, KIND, {"section": section, "on": on.isoformat()}, key)


def send_notes(work: Work) -> dict[str, Any]:
    """Send each note that has not gone out yet, and return how many were accepted; Refused where there is no server."""
    section, on = work.arguments["section"], date.fromisoformat(work.arguments["on"])
    server = server_for(work.instance.settings)
    letters = note_letters(work.instance, work.taken.asked_by, section, on)
    work.step(f"sending {len(letters)} notes")
    work.progress(0, len(letters))
    good = 0
    try:
        with Post(server) as post:
            sent = send_all(work.instance, letters, post, lambda: work.storing(take_turn))
            for number, (_, said) in enumerate(sent, 1):
                good += said.outcome == "accepted"
                work.progress(number, len(letters))
                if work.stopped():
                    break
    except NotReached as no:
        raise Refused(
            f"{no}.", "What went out stays sent. Ask again once the server is there: the rest goes out."
        ) from None
    return {"section": section, "on": on.isoformat(), "accepted": good}


def server_for(settings: Settings) -> MailServer:
    """Return how mails are sent; Refused where the settings do not say it."""
    try:
        return mail_server(settings)
    except SettingsError as error:
        raise Refused(*str(error).splitlines()) from None


def note_letters(instance: Instance, asked_by: str, section: str, on: date) -> list[Letter]:
    """Return the notes of a section that are to be sent: not those that were, nor to addresses that are set aside."""
    with instance.database.reading() as db:
        by = CONSOLE if asked_by == CONSOLE.code else actor_of(person_for(db, asked_by))
        known_at = max(instance.now(), newest_moment(db) or instance.now())
        before, away, key = told(db), unreachable(db), key_of(section, on)
        rows = [
            row
            for row in note_people(db, by, section)
            if row.code not in away and key not in before.get(row.code, ()) and row.code != by.code
        ]
        found = notes_of(db, by, rows, on, known_at, instance.settings.zone) if rows else ()
        addresses = {row.code: row.email for row in rows}
    return [as_letter(instance.settings, by.code, one, addresses[one.person], key) for one in found]


def as_letter(settings: Settings, by: str, note: Note, address: str, key: str) -> Letter:
    """Return a note as a mail."""
    text = notes.text_of(settings.title, note, settings.address)
    return Letter(note.person, address, notes.subject_of(settings.title, note), text, _begins(by, note, address, key))


def _begins(by: str, note: Note, address: str, key: str) -> Callable[[Session, datetime, str], int]:
    return lambda db, at, name: begin_note(db, at, by, ToSend(note.person, address, notes.KIND, (key,), name))
