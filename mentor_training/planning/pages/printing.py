"""The floor on paper and on a wall: one sheet, a page for each station, and a view for a projector."""

from __future__ import annotations

from typing import Any

from flask import Response, make_response, render_template, request, url_for

from mentor_training.errors import NotFound, Refused
from mentor_training.journal.queries import head
from mentor_training.people.access import db, guarded, instance, now
from mentor_training.people.permissions import Act
from mentor_training.planning.pages.blueprint import pages, seen_session
from mentor_training.planning.pdf import Made, floor_pdf, stations_pdf
from mentor_training.planning.queries.printing import Shown, floor_shown, wall_of
from mentor_training.planning.wall import is_roomy, on_duty, screens_of
from mentor_training.web.as_of import current_as_of
from mentor_training.web.paper_size import SIZES, as_pdf, asked_size

# How long a wall waits before it asks again; of several screens each stands for so long.
WALL_SECONDS, SCREEN_SECONDS = 20, 12


@pages.get("/sessions/<code>/print")
@guarded(Act.CHECK_IN)
def print_floor(code: str) -> str:
    """Show the floor as a sheet for paper: first names, levels where supervised, nothing about needs."""
    shown, made = _shown(code)
    return _sheet("planning/print.html", shown, made)


@pages.get("/sessions/<code>/floor.pdf")
@guarded(Act.CHECK_IN)
def floor_as_pdf(code: str) -> Response:
    """Give the same sheet as PDF."""
    size = asked_size()
    shown, made = _shown(code)
    return as_pdf(floor_pdf(shown, made, size), f"floor-{code}")


@pages.get("/sessions/<code>/stations/<slug>")
@guarded(Act.CHECK_IN)
def station_page(code: str, slug: str) -> str:
    """Show one station of a session for paper: who comes when with whom, who leads, what to beware of."""
    shown, made = _shown(code)
    row = shown.row(slug)
    if row is None:
        raise NotFound(f"station {slug} in session {code}")
    return _sheet("planning/station_page.html", shown, made, row=row)


@pages.get("/sessions/<code>/stations.pdf")
@guarded(Act.CHECK_IN)
def stations_as_pdf(code: str) -> Response:
    """Give a page for each station of a session as PDF."""
    size = asked_size()
    shown, made = _shown(code)
    if not shown.board.rows:
        raise Refused("The session names no station, so that there is no page to print.")
    return as_pdf(stations_pdf(shown, shown.board.rows, made, size), f"stations-{code}")


@pages.get("/sessions/<code>/wall")
@guarded(Act.CHECK_IN)
def wall(code: str) -> Response:
    """Show now and next for a projector: stations, first names of volunteers, participants as a number.

    Visitors see a wall. Of a participant a name belongs to those who are paired with them alone, so that none is here;
    a volunteer's first name stands on their tag. Levels, reasons and codes stay away. It is always of this moment.
    """
    seen_session(code)
    settings = instance().settings
    shown, here = floor_shown(db(), code, now()), now().astimezone(settings.zone)
    moment, spots = wall_of(shown, here.date(), here.time())
    places = [spot for spot in spots if not spot.is_duty]
    screens = screens_of(places)
    number = min(max(request.args.get("screen", 1, type=int), 1), len(screens))
    answer = make_response(
        render_template(
            "planning/wall.html",
            session=shown.session,
            moment=moment,
            here=here,
            spots=screens[number - 1],
            duties=on_duty(spots),
            is_roomy=is_roomy(places),
            not_open=shown.not_open,
            shut=shown.shut,
            ran=shown.closed_at,
            number=number,
            count=len(screens),
            held=bool(request.args.get("hold")),
        )
    )
    if not request.args.get("hold"):
        _ask_again(answer, code, number % len(screens) + 1, len(screens))
    return answer


def _ask_again(answer: Response, code: str, following: int, count: int) -> None:
    """Have the browser ask again by itself, for the next screen where there are several; it needs no script."""
    if count == 1:
        answer.headers["Refresh"] = str(WALL_SECONDS)
    else:
        answer.headers["Refresh"] = f"{SCREEN_SECONDS}; url={url_for('planning.wall', code=code, screen=following)}"


def _shown(code: str) -> tuple[Shown, Made]:
    seen_session(code)
    settings = instance().settings
    known_at = current_as_of(now(), settings.zone).known_at or now()
    made = Made(settings.title, settings.place, known_at, settings.zone, head(db()))
    return floor_shown(db(), code, known_at), made


def _sheet(template: str, shown: Shown, made: Made, **more: Any) -> str:
    return render_template(template, shown=shown, session=shown.session, made=made, sizes=SIZES, **more)
