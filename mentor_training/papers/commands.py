"""Looking after the scans of papers from the command line."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from mentor_training.papers.actions.scans import sweep
from mentor_training.papers.scans.folder import folder_of
from mentor_training.people.permissions import CONSOLE

if TYPE_CHECKING:
    from mentor_training.database.instance import Instance


@click.group()
def papers() -> None:
    """Look after what was sent of papers."""


@papers.command("sweep")
@click.pass_obj
def sweep_command(instance: Instance) -> None:
    """Delete every scan whose time is over, and files of uploads that failed; say what was deleted.

    The server does the same when it starts and after each verification; this is for a daily timer. Exit status 1 when
    something could not be deleted.
    """
    with instance.database.writing() as db:
        swept = sweep(db, instance.now(), instance.settings.zone, CONSOLE, folder_of(instance.settings))
        words = [f"scan {one.scan} deleted: {one.because}" for one in swept.deleted]
    for line in words:
        click.echo(line)
    click.echo(f"{len(swept.deleted)} deleted; {swept.strays} files of failed uploads taken away")
    for what in swept.failed:
        click.echo(f"{what} could not be deleted; see who owns {folder_of(instance.settings).path}", err=True)
    if swept.failed:
        raise click.exceptions.Exit(1)
