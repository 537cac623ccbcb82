"""Letters on paper."""

from __future__ import annotations

from datetime import date

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
