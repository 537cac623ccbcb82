"""The journal for the coordinator: newest first, by subject and kind, page by page, and the proof of its chain."""

from __future__ import annotations

import json
from datetime import datetime, time, timedelta
from typing import Any

from flask import Blueprint, Response, render_template, request
from werkzeug.exceptions import BadRequest

from mentor_training.csv_form import write_for_spreadsheets
from mentor_training.journal import queries
from mentor_training.journal.queries import Wanted
from mentor_training.journal.tables import JournalEntry
from mentor_training.participants.queries import first_names
from mentor_training.people.access import db, guarded, instance, now
from mentor_training.people.permissions import Act
from mentor_training.people.queries import people
from mentor_training.web.as_of import current_as_of

pages = Blueprint("journal", __name__)

COLUMNS = ("number", "moment", "who", "kind", "subject", "record", "previous", "hash")


@pages.app_template_filter()
def show_record(record: str) -> list[tuple[str, str]]:
    """Return what an entry's canonical JSON says, as names and values to read: nothing empty, hashes cut."""
    return [
        (name.replace("_", " "), _plain(value)) for name, value in json.loads(record).items() if value not in _EMPTY
    ]


_EMPTY: tuple[Any, ...] = (None, "", [], {})


def _plain(value: Any) -> str:
    if isinstance(value, list):
        return ", ".join(_plain(one) for one in value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if not isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    return f"{value[:20]}\N{HORIZONTAL ELLIPSIS}" if value.startswith("sha256:") else value


@pages.get("/journal")
@guarded(Act.SEE_JOURNAL)
def listing() -> str:
    """Show the journal, newest first; of one subject or kind where asked."""
    wanted = _wanted()
    return render_template(
        "overview/journal.html",
        wanted=wanted,
        page=queries.page_of(db(), wanted, _start()),
        kinds=queries.kinds(db()),
        names=_names(),
    )


@pages.get("/journal.csv")
@guarded(Act.SEE_JOURNAL)
def listing_csv() -> Response:
    """Give every entry asked for as CSV, safe to open in a spreadsheet."""
    text = write_for_spreadsheets(COLUMNS, (_cells(row) for row in queries.all_wanted(db(), _wanted())))
    headers = {"Content-Disposition": f"attachment; filename=journal-{now():%Y-%m-%d}.csv"}
    return Response(text, mimetype="text/csv", headers=headers)


@pages.get("/journal/proof")
@guarded(Act.SEE_JOURNAL)
def proof() -> str:
    """Prove the whole chain, and say whether a head noted elsewhere is in it."""
    noted = request.args.get("head", "").strip().lower()
    return render_template("overview/journal_proof.html", proof=queries.prove_chain(db(), noted), noted=noted)


def _cells(row: JournalEntry) -> tuple[int | str, ...]:
    return (
        row.number, row.moment.isoformat(), row.who, row.kind, row.subject, row.record, row.previous, row.hash,
    )  # fmt: skip


def _names() -> dict[str, str]:
    """Return what the codes in the journal stand for: people by name, participants by first name and code."""
    called = {code: f"{first_name} ({code})" for code, first_name in first_names(db()).items()}
    return called | {row.code: row.name for row in people(db())}


def _wanted() -> Wanted:
    return Wanted(request.args.get("subject", "").strip(), request.args.get("kind", ""), _until())


def _until() -> datetime | None:
    """Return up to which moment entries are shown: where a day is looked at, what was recorded through its end."""
    as_of = current_as_of(now(), instance().settings.zone)
    if as_of.known_at or not as_of.chosen:
        return as_of.known_at
    next_midnight = datetime.combine(as_of.day + timedelta(days=1), time(), instance().settings.zone)
    return next_midnight - timedelta(microseconds=1)


def _start() -> int | None:
    text = request.args.get("from", "")
    if not text:
        return None
    if not (text.isascii() and text.isdecimal()) or len(text) > 12:
        raise BadRequest(f"{text!r} is not the number of an entry. Write a whole number, such as 120.")
    return int(text)
