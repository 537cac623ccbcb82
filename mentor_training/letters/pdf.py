"""Letters on paper."""

from __future__ import annotations

from collections.abc import Sequence

from mentor_training.certificates.rules import grouped
from mentor_training.letters.notes import Note
from mentor_training.letters.queries.written import as_written, program_of
from mentor_training.letters.tables import WrittenLetter
from mentor_training.settings import Settings
from mentor_training.web.pdf import fill, render_pdf
from mentor_training.web.qr import qr_code


def verification_address(site: str, row: WrittenLetter) -> str:
    """Return the address at which anybody can check a letter; `site` is the server's public address."""
    return f"{site}/verify/{row.number}/{grouped(row.verification_code)}"


def hours_letter_pdf(row: WrittenLetter, settings: Settings, size: str = "letter") -> bytes:
    """Return a letter of hours as a tagged PDF, from what was frozen when it was written."""
    letter, address = as_written(row), verification_address(settings.address, row)
    body = fill(
        "letters/_hours_print.html",
        program=program_of(row),
        number=row.number,
        letter=letter,
        on=row.day,
        rules=tuple(dict.fromkeys(one.rule for one in letter.statements)),
        made={one.number: one.made_at.astimezone(settings.zone).date() for one in letter.statements},
        ask=settings.mail.get("sender") or settings.address,
        site=f"{settings.address}/verify",
        code=grouped(row.verification_code),
        address=address,
        qr_code=qr_code(address),
        hash=row.hash,
        journal_head=row.journal_head,
    )
    sheets = ("pdf.css", "letters.css")
    title = f"Letter of hours for {letter.name}"
    return render_pdf(body, title, sheets if size == "letter" else (*sheets, "a4.css"))


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
