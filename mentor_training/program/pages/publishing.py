"""The editions there are, and publishing the files on the disk as the next one."""

from __future__ import annotations

from difflib import unified_diff

from flask import render_template, url_for
from werkzeug.wrappers import Response

from mentor_training.errors import Refused
from mentor_training.journal.chain import digest
from mentor_training.people.access import db, done, guarded, instance, me, now, today
from mentor_training.people.permissions import Act
from mentor_training.program import actions, queries
from mentor_training.program.differences import differences
from mentor_training.program.editions import file_changes
from mentor_training.program.files import FilesOnDisk, files_on_disk, listing
from mentor_training.program.forms import PublishForm
from mentor_training.program.pages.blueprint import pages, shown_edition

STALE = "The files have changed since this page was made; read what is found now, and publish then."


@pages.get("/program/editions")
@guarded(Act.SEE_PROGRAM)
def editions() -> str:
    """List every edition that was published, the newest first, each with what it changed in what the program means."""
    in_force = shown_edition()
    rows = queries.editions(db())
    programs = {row.number: queries.as_published(db(), row).program for row in rows}
    earlier = {number: programs[number - 1] for number in programs if number - 1 in programs}
    found = {number: differences(before, programs[number]) for number, before in earlier.items()}
    return render_template(
        "program/editions.html",
        editions=rows,
        differences=found,
        in_force=in_force.number if in_force else 0,
        may_publish=me().may(Act.PUBLISH),
    )


@pages.get("/program/editions/<int:number>")
@guarded(Act.SEE_PROGRAM)
def edition(number: int) -> str:
    """Show one edition: its day, its hash, and its files with what changed in them."""
    row = queries.edition_for(db(), number)
    files = queries.files_of(db(), number)
    before = queries.files_of(db(), number - 1)
    changes = file_changes(before, files) if before else None
    program = queries.as_published(db(), row).program
    earlier = queries.as_published(db(), queries.edition_for(db(), number - 1)).program if before else None
    return render_template(
        "program/edition.html",
        edition=row,
        files=[(path, digest(text)) for path, text in sorted(files.items())],
        changes=changes,
        lines={path: _lines_that_differ(before[path], files[path]) for path in (changes.changed if changes else ())},
        differences=differences(earlier, program) if earlier else (),
    )


@pages.get("/program/files")
@guarded(Act.PUBLISH)
def files() -> str:
    """Show the coordinator what is found in the files on the disk, and what publishing them would change."""
    found = files_on_disk(instance().settings)
    form = PublishForm(effective=today())
    return _files_page(found, form)


@pages.post("/program/files/publish")
@guarded(Act.PUBLISH)
def publish_submit() -> Response | tuple[str, int]:
    """Publish the files that were shown; if they have changed since, show them anew and publish nothing."""
    form = PublishForm()
    found = files_on_disk(instance().settings)
    effective = form.effective.data
    if not form.validate_on_submit() or effective is None:
        return _files_page(found, form), 422
    try:
        if form.shown.data != found.hash:
            raise Refused(STALE)
        row = actions.publish(db(), now(), me(), today(), found.files, effective, found.findings)
    except Refused as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        return _files_page(found, form), 422
    message = f"Edition {row.number} is published. It takes effect on {row.effective:%Y-%m-%d}."
    return done(url_for("program.editions"), message)


def _files_page(found: FilesOnDisk, form: PublishForm) -> str:
    latest = queries.latest_edition(db())
    before = queries.files_of(db(), latest.number) if latest else {}
    form.shown.data = found.hash
    old = queries.as_published(db(), latest).program if latest else None
    return render_template(
        "program/files.html",
        found=found,
        form=form,
        latest=latest,
        changes=file_changes(before, found.files),
        listing=listing(found, before),
        differences=differences(old, found.program) if old and found.program else (),
    )


def _lines_that_differ(before: str, after: str) -> list[str]:
    return list(unified_diff(before.splitlines(), after.splitlines(), lineterm="", n=2))[2:]
