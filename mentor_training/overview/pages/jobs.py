"""Background work: how far each job is, and where its outcome is; one can leave, come back, and stop it."""

from __future__ import annotations

from typing import cast

from flask import Blueprint, Flask, current_app, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from mentor_training.clock import SystemClock
from mentor_training.jobs.actions import wish_stop
from mentor_training.jobs.queries import job_for, seen_jobs
from mentor_training.jobs.rules import DONE, OPEN, looks_again_after, seconds_between
from mentor_training.jobs.tables import Job
from mentor_training.jobs.work import Kind, Kinds
from mentor_training.people.access import db, done, guarded, me
from mentor_training.people.permissions import COORDINATOR, Act

# A blueprint of its own: it is no place of the top line, and belongs to none.
pages = Blueprint("jobs", __name__)


def set_kinds(app: Flask, kinds: Kinds) -> None:
    """Have the pages know what the application can do in the background."""
    app.extensions["job_kinds"] = kinds


@pages.get("/jobs")
@guarded(Act.SEE_JOBS)
def listing() -> str:
    """Show what one has asked for and what came of it; the coordinator sees everybody's."""
    rows = [(row, title_of(row), outcome_of(row)) for row in seen_jobs(db(), me().code, _sees_all())]
    return render_template("overview/jobs.html", rows=rows)


@pages.get("/jobs/<int:number>")
@guarded(Act.SEE_JOBS)
def job(number: int) -> Response:
    """Show how far a job is, again every few seconds; whoever waits for it is led on once it is done."""
    row = job_for(db(), number, me().code, _sees_all())
    if row.state == DONE and "then" in request.args:
        return redirect(outcome_of(row) or url_for("jobs.listing"))
    answer = make_response(_page(row))
    if row.state in OPEN and "still" not in request.args:
        # A header and not an element: the page can be had without (WCAG 2.2, 2.2.2), and no script is needed.
        answer.headers["Refresh"] = str(looks_again_after(_seconds(row)))
    return answer


@pages.post("/jobs/<int:number>/stop")
@guarded(Act.SEE_JOBS)
def stop_submit(number: int) -> Response:
    """Have a job stop with the best that it has so far."""
    row = job_for(db(), number, me().code, _sees_all())
    wish_stop(db(), SystemClock().now(), row)
    return done(url_for("jobs.job", number=number, then="on"))


def _page(row: Job) -> str:
    found = kind_of(row)
    counted = (found.counted if found else Kind.counted).format(done=row.done, total=row.total)
    return render_template(
        "overview/job.html",
        job=row,
        title=title_of(row),
        outcome=outcome_of(row),
        seconds=_seconds(row),
        counted=counted,
        kept=found.kept if found else Kind.kept,
        steps=row.words.splitlines(),
        still="still" in request.args,
    )


def _seconds(row: Job) -> int:
    return seconds_between(row.begun_at, row.ended_at or SystemClock().now())


def title_of(row: Job) -> str:
    """Return what a job does."""
    found = kind_of(row)
    return found.titled(row.arguments) if found else f"Background work: {row.kind}"


def outcome_of(row: Job) -> str | None:
    """Return the address where what came of a job is seen, or None where nobody knows one."""
    found = kind_of(row)
    if found is None:
        return None
    endpoint, values = found.leads_to(row.number, row.arguments)
    return url_for(endpoint, **values)


def kind_of(row: Job) -> Kind | None:
    """Return what the application knows of a job's kind."""
    return cast(Kinds, current_app.extensions["job_kinds"]).get(row.kind)


def _sees_all() -> bool:
    return COORDINATOR in me().roles
