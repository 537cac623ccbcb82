"""The program's definition on the command line: check the files, publish them as an edition."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import click

from mentor_training.console import DAY, format_option, show_json, show_table
from mentor_training.database.instance import Instance
from mentor_training.people.permissions import CONSOLE
from mentor_training.program import actions
from mentor_training.program.editions import file_changes
from mentor_training.program.files import FilesOnDisk, files_on_disk
from mentor_training.program.queries import files_of, latest_edition
from mentor_training.program.reading import Finding


@click.command()
@click.option("--strict", is_flag=True, help="Advice counts as a fault too.")
@format_option
@click.pass_obj
def check(instance: Instance, strict: bool, form: str) -> None:
    """Check the program's files and print every finding as FILE:LINE: what is wrong; what would be right.

    Exit status 1 if there is a fault, with --strict if there is any finding, else 0.
    """
    found = files_on_disk(instance.settings)
    if form == "json":
        show_json({"findings": [_as_json(one) for one in found.findings], **_counts(found)})
    elif form == "csv":
        columns = ("file", "line", "kind", "what", "right")
        show_table(form, columns, [(one.file, one.line, _kind(one), one.what, one.right) for one in found.findings])
    else:
        _show(found.findings)
        click.echo(found.summary)
    if found.faults or (strict and found.findings):
        raise click.exceptions.Exit(1)


@click.command()
@click.option("--effective", type=DAY, required=True, help="The day the edition takes effect.")
@click.option("--yes", is_flag=True, help="Do not ask.")
@click.pass_obj
def publish(instance: Instance, effective: date, yes: bool) -> None:
    """Publish the program's files as the next edition; a published edition never changes."""
    found = files_on_disk(instance.settings)
    _show(found.findings)
    if found.faults:
        click.echo(f"nothing is published: {found.summary}", err=True)
        raise click.exceptions.Exit(1)
    for line in _announcement(instance, found, effective):
        click.echo(line)
    if not yes:
        click.confirm("Publish it?", abort=True)
    with instance.database.writing() as db:
        edition = actions.publish(db, instance.now(), CONSOLE, instance.today(), found.files, effective)
        click.echo(f"edition {edition.number} is published; it takes effect on {effective.isoformat()}")


def _announcement(instance: Instance, found: FilesOnDisk, effective: date) -> list[str]:
    """Say which files the edition changes."""
    with instance.database.reading() as db:
        latest = latest_edition(db)
        before = files_of(db, latest.number) if latest else {}
    number = latest.number + 1 if latest else 1
    changes = file_changes(before, found.files)
    lines = [f"edition {number} would take effect on {effective.isoformat()}, with {len(found.files)} files"]
    if latest:
        for word in ("added", "changed", "removed"):
            lines += [f"  {word} since edition {latest.number}: {path}" for path in getattr(changes, word)]
    return lines


def _show(findings: Sequence[Finding]) -> None:
    for one in findings:
        advice = "" if one.fault else "advice: "
        click.echo(f"{one.file}:{one.line}: {advice}{one.what}; {one.right}")


def _kind(finding: Finding) -> str:
    return "fault" if finding.fault else "advice"


def _as_json(finding: Finding) -> dict[str, str | int]:
    return {
        "file": finding.file,
        "line": finding.line,
        "kind": _kind(finding),
        "what": finding.what,
        "right": finding.right,
    }


def _counts(found: FilesOnDisk) -> dict[str, int]:
    return {"faults": len(found.faults), "advice": len(found.findings) - len(found.faults)}
