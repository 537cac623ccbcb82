"""The roster exchange on the command line."""

from __future__ import annotations

from pathlib import Path

import click

from mentor_training.console import stop_on
from mentor_training.database.instance import Instance
from mentor_training.errors import Refused
from mentor_training.people.permissions import CONSOLE
from mentor_training.roster import actions, queries
from mentor_training.roster.packing import from_folder, from_packed, write_into
from mentor_training.roster.rules import Comparison

FILES = click.Path(exists=True, path_type=Path)


@click.group()
def roster() -> None:
    """Take classes and students in from the registrar, give results back (OneRoster 1.2 CSV)."""


@roster.command("import")
@click.argument("files", type=FILES)
@click.option("--yes", is_flag=True, help="Take it in; without, only show what it would do.")
@click.pass_obj
def import_roster(instance: Instance, files: Path, yes: bool) -> None:
    """Show what the roster in FILES, a folder or a ZIP, would change; with --yes store it, whole or not at all.

    Nobody is taken out of a section, and no role is taken away: who is not in the roster is named.
    """
    texts, zone = _texts(files), instance.settings.zone
    if yes:
        with instance.database.writing() as db:
            read, found = actions.take_in(db, instance.now(), CONSOLE, zone, texts)
    else:
        with instance.database.reading() as db:
            read, found = queries.look_at(db, instance.now(), zone, texts)
    stop_on(files, read.findings)
    if found:
        _tell(found)
        count = f"{len(found.changes)} of {len(found.changes) + found.same} people"
        click.echo(f"{count} {'are new or changed' if yes else 'would be new or changed; nothing was stored'}")


def _tell(found: Comparison) -> None:
    for one in found.changes:
        for words in one.words:
            click.echo(f"{one.row.person}  {words}")
    for said in (*found.stays, *(f"passed over, {one}" for one in found.passed_over)):
        click.echo(said)


@roster.command("export")
@click.argument("section")
@click.option("--roster", "files", type=FILES, required=True, help="The registrar's roster, a folder or a ZIP.")
@click.option("--output", type=click.Path(file_okay=False, path_type=Path), required=True, help="The folder.")
@click.pass_obj
def export_results(instance: Instance, section: str, files: Path, output: Path) -> None:
    """Write SECTION's results, hours stated and modules completed, under the names that the roster has for them."""
    texts, zone = _texts(files), instance.settings.zone
    with instance.database.reading() as db:
        read, found = queries.look_at(db, instance.now(), zone, texts)
        stop_on(files, read.findings)
        if found is None:
            raise Refused("This roster cannot be used.")
        written = queries.results_for(db, instance.now(), zone, read, found, section)
    for path in write_into(output, written):
        click.echo(path)


def _texts(files: Path) -> dict[str, str]:
    return from_folder(files) if files.is_dir() else from_packed(files.read_bytes())
