"""Papers that end soon, each with its notice, and who falls out of clearance before the last session because of one."""

from __future__ import annotations

from flask import Response, render_template

from mentor_training.clearance.queries import gate_at
from mentor_training.csv_form import write_for_spreadsheets
from mentor_training.overview.pages.blueprint import asked, pages
from mentor_training.overview.queries.falling_out import FallsOut, falling_out, last_session_day
from mentor_training.papers import queries
from mentor_training.people.access import db, guarded
from mentor_training.people.permissions import Act
from mentor_training.people.queries import volunteers
from mentor_training.program.queries import require_edition

COLUMNS_OF_ENDING = ("person", "name", "paper", "ends", "notice", "waiting")
COLUMNS_OF_FALLING = (
    "person", "name", "last_day", "papers", "waiting", "stations", "first_session", "sessions", "placements",
)  # fmt: skip


@pages.get("/papers/ending")
@guarded(Act.VERIFY_PAPERS)
def ending() -> str:
    """Show who falls out before the last session, and every paper that ends in the next ninety days."""
    day, known_at = asked()
    return render_template(
        "overview/ending.html",
        found=queries.ending(db(), day, known_at),
        days=queries.SOON_DAYS,
        last=last_session_day(db(), day),
        falling=_falling(),
        program=require_edition(db(), day, known_at).program,
    )


@pages.get("/papers/ending.csv")
@guarded(Act.VERIFY_PAPERS)
def ending_csv() -> Response:
    """Give the papers that end soon as a table for a spreadsheet."""
    day, known_at = asked()
    rows = [
        (one.person.code, one.person.name, one.line.paper.slug, one.day.isoformat(), notice.step if notice else "",
         len(one.line.waiting))
        for one in queries.ending(db(), day, known_at)
        for notice in [one.line.notice_on(day)]
    ]  # fmt: skip
    return _file(write_for_spreadsheets(COLUMNS_OF_ENDING, rows), f"papers-ending-{day.isoformat()}.csv")


@pages.get("/papers/falling-out.csv")
@guarded(Act.VERIFY_PAPERS)
def falling_out_csv() -> Response:
    """Give who falls out of clearance before the last session, with the sessions and placements that are hit."""
    rows = [
        (
            one.person.code, one.person.name, one.last_day.isoformat(), ";".join(one.papers),
            ";".join(sorted(one.waits)), ";".join(fall.station for fall in one.falls),
            one.first.code if one.first else "", ";".join(hit.session.code for hit in one.hits),
            ";".join(f"{hit.session.code}/{at.block}/{at.station}" for hit in one.hits for at in hit.placed),
        )
        for one in _falling()
    ]  # fmt: skip
    return _file(write_for_spreadsheets(COLUMNS_OF_FALLING, rows), f"falling-out-{asked()[0].isoformat()}.csv")


def _falling() -> tuple[FallsOut, ...]:
    day, known_at = asked()
    return falling_out(db(), gate_at(db(), known_at), volunteers(db()), day)


def _file(text: str, name: str) -> Response:
    return Response(text, mimetype="text/csv", headers={"Content-Disposition": f"attachment; filename={name}"})
