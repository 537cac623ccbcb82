"""The coordinator's page of the roster exchange: see what a roster would do, take it in, get a section's results."""

from __future__ import annotations

from collections.abc import Sequence

from flask import Blueprint, Response, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from mentor_training.errors import Refused
from mentor_training.people.access import db, done, guarded, instance, me, now
from mentor_training.people.permissions import Act
from mentor_training.roster import actions, queries
from mentor_training.roster.forms import RosterForm
from mentor_training.roster.packing import from_packed, packed
from mentor_training.roster.reading import Finding
from mentor_training.roster.rules import Comparison

pages = Blueprint("roster", __name__)

# A page that lists more helps nobody; the command prints them all.
MOST_SHOWN = 200
LOOK, TAKE, RESULTS = "look", "take", "results"


@pages.get("/roster")
@guarded(Act.MOVE_REGISTER)
def overview() -> str:
    """Show the form that brings a roster along."""
    return _page(RosterForm(formdata=None))


@pages.post("/roster")
@guarded(Act.MOVE_REGISTER)
def import_submit() -> AnyResponse | str | tuple[str, int]:
    """Say what a roster would do, or take it in, or give a section's results under its names."""
    form, asked = RosterForm(), request.form.get("then", LOOK)
    try:
        texts = _uploaded()
        if asked.startswith(RESULTS):
            return _results(texts, asked.removeprefix(RESULTS).lstrip(":"))
        look = actions.take_in if asked == TAKE else None
        zone = instance().settings.zone
        roster, found = look(db(), now(), me(), zone, texts) if look else queries.look_at(db(), now(), zone, texts)
    except Refused as no:
        db().rollback()
        form.file.errors = list(no.reasons)
        return _page(form), 422
    if roster.findings:
        db().rollback()
        return _page(form, findings=roster.findings), 422
    if asked == TAKE and found:
        return done(url_for("roster.overview"), f"The roster is taken in: {len(found.changes)} people new or changed.")
    return _page(form, found)


def _uploaded() -> dict[str, str]:
    upload = request.files.get("file")
    if not upload:
        raise Refused("Choose a file.")
    return from_packed(upload.read())


def _results(texts: dict[str, str], section: str) -> Response:
    zone = instance().settings.zone
    roster, found = queries.look_at(db(), now(), zone, texts)
    if found is None:
        raise Refused(*(str(one) for one in roster.findings[:MOST_SHOWN]))
    content = packed(queries.results_for(db(), now(), zone, roster, found, section))
    headers = {"Content-Disposition": f'attachment; filename="results-{section}.zip"'}
    return Response(content, content_type="application/zip", headers=headers)


def _page(form: RosterForm, found: Comparison | None = None, findings: Sequence[Finding] = ()) -> str:
    sections = queries.known_sections(db(), now(), instance().settings.zone)
    return render_template(
        "roster/roster.html", form=form, found=found, findings=findings[:MOST_SHOWN],
        more=max(0, len(findings) - MOST_SHOWN), sections=sections, look=LOOK, take=TAKE, results=RESULTS,
    )  # fmt: skip
