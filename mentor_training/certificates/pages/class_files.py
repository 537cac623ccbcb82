"""Files of a class: asked for here, made in the background, taken away here as one ZIP."""

from __future__ import annotations

from typing import Any

from flask import Response, render_template, send_file, url_for
from werkzeug.wrappers import Response as Answer

from mentor_training.certificates.class_files import KIND, ask_for_files, wanted_of, zip_of
from mentor_training.certificates.forms import FilesForm
from mentor_training.certificates.pages.blueprint import pages
from mentor_training.certificates.queries import issued_to, people_for, sections_of
from mentor_training.errors import NotFound, Refused
from mentor_training.jobs.queries import job_for
from mentor_training.jobs.tables import Job
from mentor_training.people.access import db, done, guarded, instance, me, now, today
from mentor_training.people.permissions import COORDINATOR, Act
from mentor_training.web.forms import options


@pages.get("/certificates/files")
@guarded(Act.ISSUE_CERTIFICATES)
def files() -> str:
    """Ask of which section and kind, on which paper, with the credential or without."""
    return _page(_form())


@pages.post("/certificates/files")
@guarded(Act.ISSUE_CERTIFICATES)
def files_submit() -> Answer | tuple[str, int]:
    """Have the files made, and lead to how far it is."""
    form = _form()
    if form.validate_on_submit():
        try:
            job = ask_for_files(db(), now(), me(), form.wanted, today())
            return done(url_for("jobs.job", number=job.number, then="on"))
        except Refused as no:
            form.form_errors.extend(no.reasons)
            db().rollback()
    return _page(form), 422


@pages.get("/certificates/files/<int:number>")
@guarded(Act.ISSUE_CERTIFICATES)
def files_made(number: int) -> str:
    """Show what a job has made, and where it is taken away."""
    job = _job(number)
    return render_template("certificates/files_made.html", job=job, made=_made(job), wanted=wanted_of(job.arguments))


@pages.get("/certificates/files/<int:number>.zip")
@guarded(Act.ISSUE_CERTIFICATES)
def files_zip(number: int) -> Response:
    """Give the ZIP, as long as everything in it may still be handed out to whoever asks."""
    job = _job(number)
    numbers, path = set(_made(job).get("numbers", ())), zip_of(instance().settings, number)
    if not numbers or not path.is_file():
        raise NotFound(f"ZIP of job {number} any more; ask for the files again")
    may_have = issued_to(db(), [row.code for row in people_for(db(), me())])
    if not numbers <= {one.certificate.number for one in may_have if not one.revocation}:
        raise Refused("A certificate in it was revoked, or is not yours to hand out any more. Ask for the files again.")
    return send_file(path, mimetype="application/zip", as_attachment=True, download_name=f"certificates-{number}.zip")


def _form() -> FilesForm:
    people = people_for(db(), me())
    kinds = {
        one.certificate.kind: one.certificate.content["title"] for one in issued_to(db(), [p.code for p in people])
    }
    form = FilesForm(size=instance().settings.paper)
    form.section.choices = options([("", "all"), *((one, one) for one in sections_of(people))])
    form.kind.choices = options([("", "all"), *sorted(kinds.items(), key=lambda pair: pair[1])])
    return form


def _page(form: FilesForm) -> str:
    return render_template("certificates/files.html", form=form)


def _job(number: int) -> Job:
    job = job_for(db(), number, me().code, COORDINATOR in me().roles)
    if job.kind != KIND:
        raise NotFound(f"job {number} that makes files")
    return job


def _made(job: Job) -> dict[str, Any]:
    """Return what a job has made, empty where it has not ended well."""
    return job.result if job.state == "done" and isinstance(job.result, dict) else {}
