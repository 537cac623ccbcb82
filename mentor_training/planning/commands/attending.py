"""Terms, and who can come when, on the command line."""

from __future__ import annotations

from pathlib import Path

import click

from mentor_training.calendar.actions import import_terms
from mentor_training.calendar.availability_file import COLUMNS as SAID_COLUMNS
from mentor_training.calendar.availability_file import read_availability, rows_in_force
from mentor_training.calendar.queries import said
from mentor_training.calendar.queries import terms as all_terms
from mentor_training.calendar.terms import COLUMNS, as_row, read_terms
from mentor_training.console import read_text, stop_on
from mentor_training.csv_form import write_rows
from mentor_training.database.instance import Instance
from mentor_training.people.permissions import CONSOLE
from mentor_training.planning.actions.saying import import_availability
from mentor_training.planning.queries.known import known_for_availability

FILE = click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))


@click.group()
def terms() -> None:
    """Take terms in, write them out."""


@terms.command("import")
@FILE
@click.pass_obj
def import_terms_file(instance: Instance, file: Path) -> None:
    """Take terms.csv in: whole, or not at all. Their holidays are left out of every series from then on."""
    found, problems = read_terms(read_text(file))
    stop_on(file, problems)
    with instance.database.writing() as db:
        changed = import_terms(db, instance.now(), CONSOLE, found)
    click.echo(f"{len(found)} rows read, {changed} of them new or changed")


@terms.command("export")
@click.pass_obj
def export_terms_file(instance: Instance) -> None:
    """Write terms.csv to standard output."""
    with instance.database.reading() as db:
        rows = [as_row(one) for one in all_terms(db)]
    click.echo(write_rows(COLUMNS, rows), nl=False)


@click.group()
def availability() -> None:
    """Take in who can come when, write it out."""


@availability.command("import")
@FILE
@click.pass_obj
def import_availability_file(instance: Instance, file: Path) -> None:
    """Take availability.csv in: whole, or not at all. Import people, participants, terms and sessions first."""
    with instance.database.writing() as db:
        rows, problems = read_availability(read_text(file), known_for_availability(db))
        stop_on(file, problems)
        changed = import_availability(db, instance.now(), CONSOLE, rows)
    click.echo(f"{len(rows)} rows read, {changed} of them new or changed")


@availability.command("export")
@click.pass_obj
def export_availability_file(instance: Instance) -> None:
    """Write availability.csv to standard output: what was said last about each thing, and not taken back."""
    with instance.database.reading() as db:
        rows = list(rows_in_force(said(db, instance.now())))
    click.echo(write_rows(SAID_COLUMNS, rows), nl=False)
