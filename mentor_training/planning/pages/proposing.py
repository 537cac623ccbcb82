"""The best plan of a session: looked for in the background, shown with how good it is, stored once it is accepted."""

from __future__ import annotations

from flask import redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from mentor_training.errors import Refused
from mentor_training.jobs.rules import DONE, OPEN
from mentor_training.jobs.tables import Job
from mentor_training.people.access import db, done, guarded, me, now
from mentor_training.people.permissions import Act
from mentor_training.planning.actions.looking import SECONDS, look_for_plan
from mentor_training.planning.actions.placing import accept
from mentor_training.planning.actions.turn import still_open
from mentor_training.planning.gaps import by_participant
from mentor_training.planning.pages.blueprint import pages, seen_session
from mentor_training.planning.proposal import Fitting, Proposal, changed_since, fitting
from mentor_training.planning.queries.board import board_of
from mentor_training.planning.queries.plan import Plan, gaps_of, plan_for, with_more
from mentor_training.planning.queries.proposals import newest_search, proposal_for


@pages.get("/sessions/<code>/proposal")
@guarded(Act.PLAN)
def proposal(code: str) -> Response | str:
    """Show what the newest search has found, or the one that is named; lead to one that runs, or offer to begin one."""
    seen_session(code)
    still_open(db(), code)
    search = newest_search(db(), code)
    number = request.args.get("job", type=int)
    if number is None and search and search.state in OPEN:
        return redirect(url_for("jobs.job", number=search.number, then="on"))
    if number is None and (search is None or search.state != DONE):
        return _ask(code, search)
    number = number or (search.number if search else 0)
    return _shown(code, number, proposal_for(db(), code, number))


@pages.post("/sessions/<code>/proposal")
@guarded(Act.PLAN)
def look_submit(code: str) -> Response:
    """Have the best plan looked for, and lead to how far it is."""
    job = look_for_plan(db(), now(), me(), code, request.form.get("seconds", SECONDS[0], type=int))
    return done(url_for("jobs.job", number=job.number, then="on"))


@pages.post("/sessions/<code>/proposal/accept")
@guarded(Act.PLAN)
def accept_submit(code: str) -> Response | tuple[str, int]:
    """Store a plan that was shown; every rule is asked again of each placement."""
    found = proposal_for(db(), code, request.form.get("job", 0, type=int))
    try:
        added = accept(db(), now(), me(), code, found.added)
    except Refused as no:
        db().rollback()
        return render_template("planning/not_stored.html", session=seen_session(code), reasons=no.reasons), 422
    stored = f"{len(added)} placement{'' if len(added) == 1 else 's'} stored"
    return done(url_for("planning.session", code=code), f"{stored}; whoever was placed stayed.")


def _shown(code: str, number: int, found: Proposal) -> str:
    """Show what was found beside the floor of now; where nothing of it is left to say, offer to look again."""
    plan = plan_for(db(), code, now())
    plan.gate.load_everybody()
    fits = fitting(plan.floor, plan.placed, found.added, plan.level_now)
    changed = changed_since(found, plan.floor, plan.placed)
    if not fits.new and not fits.broken and (fits.already or changed):
        return _ask(code, None, stands=bool(fits.already))
    return _proposal_page(plan, number, found, fits, changed)


def _proposal_page(plan: Plan, number: int, found: Proposal, fits: Fitting, changed: tuple[str, ...]) -> str:
    shown = with_more(plan, fits.new)
    gaps = gaps_of(shown)
    return render_template(
        "planning/proposal.html",
        session=plan.session,
        job=number,
        best=found,
        fits=fits,
        changed=changed,
        board=board_of(shown, len(gaps)),
        plan=shown,
        uncovered=by_participant(gaps),
        offered=SECONDS,
        unproven=any(not aim.proven for aim in found.aims),
        longer=next((one for one in SECONDS if one > found.seconds), SECONDS[-1]),
    )


def _ask(code: str, before: Job | None, stands: bool = False) -> str:
    """Offer to look for the best plan; `before` is a search that came to nothing, `stands` that the last is stored."""
    session = seen_session(code)
    return render_template(
        "planning/propose.html", session=session, before=before, stands=stands, offered=SECONDS, longer=SECONDS[0]
    )
