"""People on the command line."""

from __future__ import annotations

from pathlib import Path

import click

from mentor_training.console import read_text, stop_on
from mentor_training.csv_form import write_rows
from mentor_training.database.instance import Instance
from mentor_training.journal.queries import is_moving_in
from mentor_training.people import actions, queries
from mentor_training.people.permissions import CONSOLE
from mentor_training.people.roster import COLUMNS, read_roster


@click.group()
def people() -> None:
    """Take people in, write them out, invite them."""


@people.command("import")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.pass_obj
def import_people(instance: Instance, file: Path) -> None:
    """Take people.csv in: whole, or not at all."""
    rows, problems = read_roster(read_text(file))
    stop_on(file, problems)
    with instance.database.writing() as db:
        changed = actions.import_people(db, instance.now(), CONSOLE, rows, is_moving_in(db))
    click.echo(f"{len(rows)} rows read, {changed} of them new or changed")


@people.command("export")
@click.pass_obj
def export_people(instance: Instance) -> None:
    """Write people.csv to standard output."""
    with instance.database.reading() as db:
        rows = [
            (row.code, row.name, row.email, ";".join(row.roles), ";".join(row.sections)) for row in queries.people(db)
        ]
    click.echo(write_rows(COLUMNS, rows), nl=False)


@people.command()
@click.argument("codes", nargs=-1, required=True)
@click.pass_obj
def invite(instance: Instance, codes: tuple[str, ...]) -> None:
    """Make an invitation for each CODE and print its address; an earlier one stops working."""
    with instance.database.writing() as db:
        for code in codes:
            token = actions.invite(db, instance.now(), CONSOLE, code)
            click.echo(f"{code}\t{instance.settings.address}/welcome/{token}")
