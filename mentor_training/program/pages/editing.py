"""The program's files in the browser: each is read, checked, changed, replaced, made and removed here."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from difflib import unified_diff

from flask import redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from mentor_training.errors import Refused
from mentor_training.people.access import db, done, guarded, instance, me, now
from mentor_training.people.permissions import Act
from mentor_training.program import actions, queries
from mentor_training.program.drafts import Draft, beginning_of, draft_for, name_faults, plain_text
from mentor_training.program.files import files_on_disk
from mentor_training.program.forms import LONGEST, EditForm, RemoveForm
from mentor_training.program.pages.blueprint import pages
from mentor_training.program.reading import Finding, read_program

Answer = Response | tuple[str, int]


@dataclass(frozen=True)
class Checked:
    """What is found in a file of this text, and how many faults there are in all the others."""

    here: tuple[Finding, ...]
    faults_elsewhere: int

    @property
    def faults(self) -> int:
        """Return the number of faults in this file."""
        return sum(one.fault for one in self.here)

    @property
    def lines(self) -> dict[int, str]:
        """Return the lines on which something is found, each with the word for it; a fault goes before advice."""
        advice = {one.line: "advice" for one in self.here if not one.fault}
        return advice | {one.line: "fault" for one in self.here if one.fault}


@pages.get("/program/files/new")
@guarded(Act.PUBLISH)
def new_file() -> Answer:
    """Ask for the name of a new file, and lead to where it is written."""
    path = request.args.get("path", "").strip()
    faults = name_faults(path) if path else ()
    if path and not faults:
        return redirect(url_for("program.edit", path=path))
    return render_template("program/new_file.html", path=path, faults=faults), 422 if faults else 200


@pages.get("/program/files/edit/<path:path>")
@guarded(Act.PUBLISH)
def edit(path: str) -> str:
    """Show one file with its findings, and the form to change it."""
    draft = draft_for(instance().settings, path)
    text = (draft.text or "") if draft.exists else beginning_of(path)
    return _edit_page(draft, EditForm(formdata=None, text=text, seen=draft.hash))


@pages.post("/program/files/edit/<path:path>")
@guarded(Act.PUBLISH)
def edit_submit(path: str) -> Answer:
    """Write the file, or only check what was typed; a file that has changed meanwhile is not written over."""
    form, folders = EditForm(), instance().settings
    _take_upload(form)
    if form.errors or not form.validate_on_submit():
        return _edit_page(draft_for(folders, path), form), 422
    if request.form.get("then") == "check":
        return _edit_page(draft_for(folders, path), form, checked_only=True), 200
    try:
        changed = actions.change_file(db(), now(), me(), folders, path, form.text.data or "", form.seen.data or "")
    except Refused as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        return _edit_page(draft_for(folders, path), form), 422
    message = "The file is written. It counts from the day of the edition that you publish it with."
    return done(url_for("program.edit", path=path), message if changed else "There was nothing to write.")


@pages.get("/program/files/remove/<path:path>")
@guarded(Act.PUBLISH)
def remove_file(path: str) -> str:
    """Show what removing a file does, before it is done."""
    draft = draft_for(instance().settings, path)
    return _remove_page(draft, RemoveForm(formdata=None, seen=draft.hash))


@pages.post("/program/files/remove/<path:path>")
@guarded(Act.PUBLISH)
def remove_file_submit(path: str) -> Answer:
    """Remove a file from the disk."""
    form, folders = RemoveForm(), instance().settings
    try:
        actions.remove_file(db(), now(), me(), folders, path, form.seen.data or "")
    except Refused as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        return _remove_page(draft_for(folders, path), form), 422
    return done(url_for("program.files"), f"{path} is removed from the disk; editions that were published keep it.")


def _take_upload(form: EditForm) -> None:
    """Put what was uploaded where the typed text stands, so that it is treated and kept alike."""
    upload = form.upload.data
    if not upload or not getattr(upload, "filename", ""):
        return
    raw = upload.read(4 * LONGEST + 1)
    try:
        form.text.data = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        form.form_errors.append(f"What was uploaded is not UTF-8 text (line {line}); save it with the encoding UTF-8.")
    if "\0" in (form.text.data or ""):
        form.form_errors.append("What was uploaded holds a zero byte and is no text.")


def _edit_page(draft: Draft, form: EditForm, checked_only: bool = False) -> str:
    """Show the file as it was typed; the form stands for the file that lies there now, whatever was seen before."""
    text = plain_text(form.text.data or "")
    files = files_on_disk(instance().settings).files
    is_stale = bool(form.is_submitted() and form.seen.data != draft.hash)
    form.text.data, form.seen.data = text, draft.hash
    latest = queries.latest_edition(db())
    published = queries.files_of(db(), latest.number) if latest else {}
    return render_template(
        "program/edit.html",
        draft=draft,
        form=form,
        text=text,
        checked=_check(files, draft.path, text),
        checked_only=checked_only,
        since_disk=_diff(draft.text or "", text) if is_stale or checked_only else [],
        is_stale=is_stale,
        latest=latest,
        since_edition=_diff(published.get(draft.path, ""), text) if draft.path in published else [],
    )


def _check(files: Mapping[str, str], path: str, text: str) -> Checked:
    _, findings = read_program({**files, path: text})
    elsewhere = sum(one.fault for one in findings if one.file != path)
    return Checked(tuple(one for one in findings if one.file == path), elsewhere)


def _diff(before: str, after: str) -> list[str]:
    return list(unified_diff(before.splitlines(), after.splitlines(), lineterm="", n=2))[2:]


def _remove_page(draft: Draft, form: RemoveForm) -> str:
    files = dict(files_on_disk(instance().settings).files)
    before = [one for one in read_program(files)[1] if one.fault]
    files.pop(draft.path, None)
    after = [one for one in read_program(files)[1] if one.fault and one not in before]
    form.seen.data = draft.hash
    return render_template("program/remove_file.html", draft=draft, form=form, new_faults=after)
