"""Letters on paper."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from mentor_training.letters.notes import Note
from mentor_training.letters.queries.hours import HoursLetter
from mentor_training.settings import Settings
from mentor_training.web.pdf import fill, render_pdf


def hours_letter_pdf(letter: HoursLetter, settings: Settings, on: date, journal_head: str) -> bytes:
    """Return a letter of hours as a tagged PDF, dated on a day; the same letter on the same day has the same bytes."""
    body = fill(
        "letters/_hours_print.html",
        program=settings.title,
        letter=letter,
        on=on,
        rules=tuple(dict.fromkeys(one.rule for one in letter.statements)),
        made={one.number: one.made_at.astimezone(settings.zone).date() for one in letter.statements},
        ask=settings.mail.get("sender") or settings.address,
        journal_head=journal_head,
    )
    return render_pdf(body, f"Letter of hours for {letter.name}", ("pdf.css", "letters.css"))


def midterm_pdf(notes: Sequence[Note], settings: Settings, journal_head: str, size: str = "letter") -> bytes:
    """Return mid-term notes as one tagged PDF, each beginning on a page of its own."""
    body = fill(
        "letters/_midterm_print.html",
        program=settings.title,
        notes=notes,
        ask=settings.address,
        journal_head=journal_head,
    )
    whose = f"for {notes[0].name}" if len(notes) == 1 else f"of {notes[0].section}"
    sheets = ("pdf.css", "letters.css", "note.css")
    return render_pdf(body, f"Mid-term note {whose}", sheets if size == "letter" else (*sheets, "a4.css"))
