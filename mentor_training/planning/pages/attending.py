"""Who is expected at a session, block by block: participants, volunteers by what they say, and observers."""

from __future__ import annotations

from collections.abc import Collection

from flask import render_template, request, url_for
from werkzeug.wrappers import Response

from mentor_training.calendar.queries import said
from mentor_training.errors import Refused, Stale
from mentor_training.people.access import db, done, guarded, me, now
from mentor_training.people.permissions import VOLUNTEER, Act
from mentor_training.people.queries import people
from mentor_training.planning.actions.saying import attend
from mentor_training.planning.pages.blueprint import pages, seen_session
from mentor_training.planning.queries.attending import attending
from mentor_training.planning.queries.board import names_of_all
from mentor_training.planning.queries.doubts import doubts_of
from mentor_training.planning.queries.plan import closing_of, plan_for


@pages.get("/sessions/<code>/expected")
@guarded(Act.PLAN)
def expected(code: str) -> str:
    """Show who is expected in which block, who says that they cannot come, and what that leaves to be decided."""
    return _page(code)


@pages.post("/sessions/<code>/expected")
@guarded(Act.PLAN)
def expected_submit(code: str) -> Response | tuple[str, int]:
    """Note which blocks the participants attend."""
    found = seen_session(code)
    written = {who: _blocks(request.form.getlist(f"attends-{who}")) for who in found.participants}
    try:
        changed = attend(db(), now(), me(), code, written, request.form.get("seen", 0, type=int))
    except Refused as no:
        db().rollback()
        return _page(code, written, no.reasons, isinstance(no, Stale)), 422
    return done(url_for("planning.expected", code=code), f"Stored; {changed} of them changed.")


def _blocks(values: Collection[str]) -> set[int]:
    return {int(value) for value in values if value.isdecimal()}


def _page(
    code: str, written: dict[str, set[int]] | None = None, reasons: tuple[str, ...] = (), is_overtaken: bool = False
) -> str:
    found = seen_session(code)
    there = attending(db(), found, now())
    numbers = {block.number for block in found.blocks}
    comes = {who: numbers - set(there.blocks_without(who)) for who in (*found.volunteers, *found.observers)}
    attends = {who: numbers - set(there.blocks_without(who)) for who in found.participants}
    willing = [
        row.code
        for row in people(db(), VOLUNTEER)
        if row.code not in found.volunteers
        and ("person", row.code) in there.decided
        and not there.blocks_without(row.code)
    ]
    closing = closing_of(db(), code)
    plan = None if closing else plan_for(db(), code, now())
    return render_template(
        "planning/expected.html",
        session=found,
        attends=attends,
        written=written or attends,
        comes=comes,
        all_blocks={who for who, blocks in (attends | comes).items() if blocks == numbers},
        decided=there.decided,
        willing=willing,
        names=names_of_all(db()),
        seen=max((one.number for one in said(db(), now(), which={code})), default=0),
        reasons=reasons,
        is_overtaken=is_overtaken,
        closing=closing,
        doubts=doubts_of(db(), plan) if plan else (),
        titles={slug: plan.floor.title(slug) for slug in plan.floor.stations} if plan else {},
    )
