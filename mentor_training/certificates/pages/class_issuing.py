"""Issuing a kind of certificate to everybody who is ready: asked for here, done in the background, seen here."""

from __future__ import annotations

from flask import render_template, request, url_for
from werkzeug.wrappers import Response

from mentor_training.certificates.class_issue import ask_for_class, issued_by_job
from mentor_training.certificates.pages.blueprint import pages
from mentor_training.jobs.queries import job_for
from mentor_training.people.access import db, done, guarded, me, now, today
from mentor_training.people.permissions import COORDINATOR, Act
from mentor_training.people.queries import people


@pages.post("/certificates/issuing/<kind>/class")
@guarded(Act.ISSUE_CERTIFICATES)
def class_submit(kind: str) -> Response:
    """Have a kind of certificate issued to all who are ready, or to those of a section, and lead to how far it is."""
    job = ask_for_class(db(), now(), me(), kind, today(), request.form.get("section", ""))
    return done(url_for("jobs.job", number=job.number, then="on"))


@pages.get("/certificates/class/<int:number>")
@guarded(Act.ISSUE_CERTIFICATES)
def class_done(number: int) -> str:
    """Show what a job has issued so far, to whom, and who was refused and why."""
    job = job_for(db(), number, me().code, COORDINATOR in me().roles)
    return render_template(
        "certificates/class.html",
        job=job,
        issued=issued_by_job(db(), job),
        refused=(job.result or {}).get("refused", {}) if job.state == "done" else {},
        stopped=(job.result or {}).get("stopped", False) if job.state == "done" else False,
        names={row.code: row.name for row in people(db())},
    )
