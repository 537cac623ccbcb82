"""The day for those who run it: the session, the gaps, what waits, what lapses, each with where to do it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields
from datetime import date, datetime
from typing import Any

from flask import Response, render_template, url_for

from mentor_training.calendar.rules import SessionFact
from mentor_training.certificates.doubts import Doubt, in_doubt
from mentor_training.certificates.queries import people_for
from mentor_training.clearance.queries import gate_at
from mentor_training.csv_form import write_for_spreadsheets
from mentor_training.learning.queries import Held, all_held, known
from mentor_training.learning.retaking import ToRetake, all_to_retake
from mentor_training.observing.queries.floor import ToSee, floor_on, to_see
from mentor_training.observing.queries.reviews import open_files
from mentor_training.observing.tables import Review
from mentor_training.overview.pages.blueprint import asked, nothing_yet, pages
from mentor_training.overview.queries.day import (
    Lapse,
    SessionState,
    lapses_before,
    next_day_after,
    sessions_for,
    sessions_to_close,
)
from mentor_training.overview.queries.falling_out import falling_out, last_session_day
from mentor_training.papers.queries import ending, names, waiting
from mentor_training.papers.tables import PaperOnFile
from mentor_training.participants.queries import Summary, summaries
from mentor_training.people.access import db, guarded, instance, me, now
from mentor_training.people.access import today as present_day
from mentor_training.people.permissions import Act
from mentor_training.people.queries import volunteers, volunteers_answered_for
from mentor_training.planning.queries.coming import end_of
from mentor_training.program.queries import require_edition
from mentor_training.web.display import show_day

MOST_FALLING = 5


@dataclass(frozen=True)
class Waiting:
    """What waits for somebody, as far as the viewer may do something about it."""

    papers: Sequence[PaperOnFile]
    ready: Sequence[ToSee]
    reviews: Sequence[Review]
    talks: Sequence[Held]
    retakes: Sequence[ToRetake]
    cards: Sequence[Summary]
    to_close: Sequence[SessionFact]
    doubts: Sequence[Doubt]

    def __bool__(self) -> bool:
        return any(getattr(self, one.name) for one in fields(self))


@pages.get("/today")
@guarded(Act.CHECK_IN)
def today() -> str:
    """Show what the day asks of an observer or the coordinator."""
    nothing = nothing_yet()
    if nothing:
        return nothing
    day, known_at = asked()
    states, waits = sessions_for(db(), me(), day, known_at), _waiting(day, known_at)
    until, lapses = _lapses(day, known_at)
    verifies = me().may(Act.VERIFY_PAPERS)
    return render_template(
        "overview/today.html",
        day=day,
        states=states,
        waits=waits,
        over={state.session.code for state in states if _is_over(state.session)},
        until=until,
        lapses=lapses,
        last=last_session_day(db(), day),
        falling=falling_out(db(), gate_at(db(), known_at), volunteers(db()), day) if verifies else (),
        most_falling=MOST_FALLING,
        notices=_notices(day, known_at) if verifies else (),
        first=next(_in_order(day, states, waits), None),
        plans=me().may(Act.PLAN),
        observes=me().may(Act.OBSERVE),
        names=names(db()),
        program=require_edition(db(), day, known_at).program,
    )


@pages.get("/today/lapses.csv")
@guarded(Act.CHECK_IN)
def lapses_csv() -> Response:
    """Give what lapses before the next session as CSV, safe to open in a spreadsheet."""
    day, known_at = asked()
    _, lapses = _lapses(day, known_at)
    rows = [
        (one.person.code, one.person.name, one.last_day.isoformat(), "; ".join(one.what), "; ".join(one.stations))
        for one in lapses
    ]
    text = write_for_spreadsheets(("person", "name", "last_day", "what_ends", "stations"), rows)
    headers = {"Content-Disposition": f"attachment; filename=lapses-{day.isoformat()}.csv"}
    return Response(text, mimetype="text/csv", headers=headers)


def _lapses(day: date, known_at: datetime) -> tuple[date | None, Sequence[Lapse]]:
    until = next_day_after(db(), day)
    return until, lapses_before(db(), me(), day, until, known_at) if until else ()


def _notices(day: date, known_at: datetime) -> list[tuple[int, int]]:
    """Return how many papers are at which step of their notices, the nearest first; those renewed are left alone."""
    given = (one.line.notice_on(day) for one in ending(db(), day, known_at))
    return sorted(Counter(one.step for one in given if one and not one.waits).items())


def _waiting(day: date, known_at: datetime) -> Waiting:
    viewer = me()
    everybody = viewer.may(Act.PLAN)
    lines = to_see(db(), floor_on(db(), viewer, day, present_day(), everybody).people, day, known_at)
    return Waiting(
        waiting(db()) if viewer.may(Act.VERIFY_PAPERS) else (),
        [line for line in lines if line.ready_count],
        [one.review for one in open_files(db(), viewer)],
        all_held(db(), require_edition(db(), day, known_at).program, now()) if viewer.may(Act.HOLD_TALK) else (),
        _retakes(day, known_at),
        [one for one in summaries(db(), day, known_at) if one.is_overdue] if viewer.may(Act.SEE_PARTICIPANTS) else (),
        [one for one in sessions_to_close(db()) if _is_over(one)] if viewer.may(Act.PLAN) else (),
        _doubts(day, known_at) if viewer.may(Act.ISSUE_CERTIFICATES) else (),
    )


def _doubts(day: date, known_at: datetime) -> Sequence[Doubt]:
    return in_doubt(db(), [row.code for row in people_for(db(), me())], day, known_at)


def _retakes(day: date, known_at: datetime) -> Sequence[ToRetake]:
    if not me().may(Act.SEE_RETAKES):
        return ()
    then = known(db(), known_at, instance().settings.zone, day)
    return all_to_retake(db(), then, volunteers_answered_for(db(), me()))


def _is_over(session: SessionFact) -> bool:
    return now() >= end_of(session, instance().settings.zone)


def _in_order(day: date, states: Sequence[SessionState], waits: Waiting) -> Iterator[dict[str, Any]]:
    """Yield what is to be done, the most urgent first: what makes the day unsafe, then the day, then what waits."""
    now_or_next = [one for one in states if not one.closed_at and not _is_over(one.session)]
    for state in now_or_next:
        yield from _fallen(state)
    if waits.reviews:
        yield _thing(f"{_count(len(waits.reviews), 'review')} to be closed", url_for("observing.reviews"), "Open them")
    for state in now_or_next:
        yield from _about_session(day, state)
    for session in waits.to_close:
        text = f"Close {session.title}, {show_day(session.day)}: hours and practice count from then on"
        yield _thing(text, url_for("planning.closing", code=session.code), "See what closing does")
    if waits.ready and me().may(Act.SIGN_OFF):
        line = waits.ready[0]
        address = url_for("observing.volunteer", code=line.person.code)
        yield _thing(f"{line.person.name} is ready for a sign-off", address, "See what was seen")
    if waits.papers:
        yield _thing(f"{_count(len(waits.papers), 'paper')} to be verified", url_for("papers.waiting"), "Open them")
    if waits.talks:
        text = f"{_count(len(waits.talks), 'conversation')} to be held about a quiz"
        yield _thing(text, url_for("learning.talks"), "See with whom")
    if waits.doubts:
        are = "certificates are" if len(waits.doubts) > 1 else "certificate is"
        text = f"{len(waits.doubts)} {are} in doubt: evidence fell away since"
        yield _thing(text, f"{url_for('certificates.issuing')}#doubts", "See which, and decide")
    if waits.cards:
        text = f"{_count(len(waits.cards), 'card')} to be reviewed; until then nobody is paired with them"
        yield _thing(text, url_for("participants.listing"), "See whose")


def _fallen(state: SessionState) -> Iterator[dict[str, Any]]:
    if state.fallen and me().may(Act.PLAN):
        text = f"{_count(len(state.fallen), 'placement')} of {state.session.title} no longer cleared: take them out"
        address = url_for("planning.session", code=state.session.code)
        yield _thing(text, f"{address}#fallen", "Open the floor")
    if state.doubts and me().may(Act.PLAN):
        are, do = ("is", "does") if len(state.doubts) == 1 else ("are", "do")
        text = f"{len(state.doubts)} who {are} placed in {state.session.title} {do} not come, by what was said"
        address = url_for("planning.session", code=state.session.code)
        yield _thing(text, f"{address}#cannot-come", "See who said so, and decide")


def _about_session(day: date, state: SessionState) -> Iterator[dict[str, Any]]:
    floor = url_for("planning.session", code=state.session.code)
    if not state.is_planned and state.session.participants and me().may(Act.PLAN):
        yield _thing(f"Nobody is placed yet in {state.session.title}", floor, "Open the floor and plan it")
    elif state.uncovered and me().may(Act.PLAN):
        has = "has" if len(state.uncovered) == 1 else "have"
        text = f"{_count(len(state.uncovered), 'participant')} {has} too few mentors in some block"
        yield _thing(text, f"{floor}#gaps", "See why, and who could")
    if state.session.day == day and state.missing("volunteer"):
        yield _thing("Check people in as they come", url_for("planning.coming", code=state.session.code), "Check in")


def _thing(text: str, address: str, label: str) -> dict[str, Any]:
    return {"text": text, "address": address, "label": label}


def _count(number: int, one: str) -> str:
    return f"{number} {one}{'' if number == 1 else 's'}"
