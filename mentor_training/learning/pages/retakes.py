"""Who has a module to go through again because a later edition asks for it, and by when."""

from __future__ import annotations

from flask import Response, render_template

from mentor_training.csv_form import write_for_spreadsheets
from mentor_training.learning.pages.blueprint import known_then, pages
from mentor_training.learning.queries import Known
from mentor_training.learning.retaking import ToRetake, all_to_retake
from mentor_training.people.access import db, guarded, me
from mentor_training.people.permissions import Act
from mentor_training.people.queries import volunteers_answered_for

COLUMNS = ("person", "name", "section", "module", "completed_edition", "edition", "effective", "by", "over")


@pages.get("/retakes")
@guarded(Act.SEE_RETAKES)
def retakes() -> str:
    """List them, those whose time is up first."""
    then = known_then()
    found = _found(then)
    return render_template(
        "learning/retakes.html",
        found=found,
        day=then.day,
        people=len({one.person.code for one in found}),
        over=len({one.person.code for one in found if one.retake.is_over(then.day)}),
    )


@pages.get("/retakes.csv")
@guarded(Act.SEE_RETAKES)
def retakes_csv() -> Response:
    """Give the same as CSV, safe to open in a spreadsheet."""
    then = known_then()
    rows = [
        (one.person.code, one.person.name, ";".join(one.person.sections), one.module.slug, one.retake.done,
         one.retake.edition, one.retake.effective.isoformat(), one.retake.by.isoformat(),
         "yes" if one.retake.is_over(then.day) else "no")
        for one in _found(then)
    ]  # fmt: skip
    headers = {"Content-Disposition": f"attachment; filename=retakes-{then.day.isoformat()}.csv"}
    return Response(write_for_spreadsheets(COLUMNS, rows), mimetype="text/csv", headers=headers)


def _found(then: Known) -> tuple[ToRetake, ...]:
    return all_to_retake(db(), then, volunteers_answered_for(db(), me()))
