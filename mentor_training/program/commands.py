"""The program's definition on the command line: check the files."""

from __future__ import annotations

import click

from mentor_training.console import format_option, show_json, show_table
from mentor_training.database.instance import Instance
from mentor_training.program.files import FilesOnDisk, files_on_disk
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
        for line in found.lines:
            click.echo(line)
        click.echo(found.summary)
    if found.faults or (strict and found.findings):
        raise click.exceptions.Exit(1)


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
