"""Who would gain and who would lose by the program's files as they lie on the disk, before they are published."""

from __future__ import annotations

from datetime import date

from flask import render_template, request
from werkzeug.exceptions import BadRequest

from mentor_training.clearance.pages.blueprint import pages
from mentor_training.clearance.queries import compare_files, compare_pairs
from mentor_training.clearance.questions import needs_compared
from mentor_training.people.access import db, guarded, instance, now, today
from mentor_training.people.permissions import Act
from mentor_training.people.queries import volunteers
from mentor_training.program.files import files_on_disk


@pages.get("/clearance/compare")
@guarded(Act.PUBLISH)
def compare() -> str:
    """Compare the files on the disk with what is in force, from a day on."""
    found = files_on_disk(instance().settings)
    effective = _day(request.args.get("effective", ""))
    compared = compare_files(db(), found.files, found.program, effective, now()) if found.program else []
    needs = needs_compared(db(), found.files, found.program, effective, now()) if found.program else ()
    pairs = compare_pairs(db(), found.files, found.program, effective, now()) if found.program else []
    return render_template(
        "clearance/compare.html",
        found=found,
        effective=effective,
        changes=compared,
        need_changes=needs,
        pair_changes=pairs,
        names={row.code: row.name for row in volunteers(db())},
        stations=found.program.stations if found.program else {},
    )


def _day(text: str) -> date:
    if not text:
        return today()
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise BadRequest(f"{text!r} is not a day; write one as year-month-day, such as 2026-10-17.") from None
