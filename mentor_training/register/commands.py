"""The register on the command line: how a binder or a spreadsheet moves in, and how everything moves out."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from pathlib import Path

import click

from mentor_training.console import read_text, stop_on
from mentor_training.database.instance import Instance
from mentor_training.journal.actions import take_turn
from mentor_training.people.permissions import CONSOLE
from mentor_training.register import actions, queries
from mentor_training.register.rules import Intake


@click.group()
def register() -> None:
    """Take evidence in as one CSV, write all of it out."""


@register.command("import")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--dry-run", is_flag=True, help="Only say what would be taken in; store nothing.")
@click.pass_obj
def import_register(instance: Instance, file: Path, dry_run: bool) -> None:
    """Take register.csv in: whole, or not at all. Publish the program and import people and cards first.

    Into an empty register rows keep their names and the moments at which they were recorded. Later a new row has no
    recorded_at; it is recorded now. A row that is there already is passed over.
    """
    text = read_text(file)
    intake = _look(instance, text) if dry_run else _take_in(instance, file.name, text)
    stop_on(file, intake.problems)
    for line in _in_words(intake, dry_run):
        click.echo(line)


def _look(instance: Instance, text: str) -> Intake:
    with instance.database.reading() as db:
        return queries.look_at(db, instance.now(), text)


def _take_in(instance: Instance, name: str, text: str) -> Intake:
    # Drawn only for somebody who watches: nothing of it gets into a pipe or a log.
    hidden = not sys.stderr.isatty()
    bar = click.progressbar(length=text.count("\n"), label=name, file=sys.stderr, hidden=hidden)
    with bar, instance.database.writing() as db:
        take_turn(db)  # so that the clock is read after everybody who wrote before
        return actions.import_register(db, instance.now(), CONSOLE, text, bar.update)


def _in_words(intake: Intake, dry_run: bool) -> Iterator[str]:
    new = len(intake.new)
    yield f"{new + intake.there} rows read, {new} of them {'would be new' if dry_run else 'new'}"
    if new and intake.is_move_in:
        yield f"the register {'is' if dry_run else 'was'} empty: a move-in, with the moments of recording as written"
    if dry_run:
        for kind, count in intake.kinds.items():
            yield f"{count:>9} {kind}"
        yield "nothing was stored"


@register.command("export")
@click.option(
    "--output", type=click.Path(dir_okay=False, path_type=Path), default=None, help="A new file; default: print it."
)
@click.pass_obj
def export_register(instance: Instance, output: Path | None) -> None:
    """Write register.csv: every record in the order of the register, as it would come in again."""
    with instance.database.reading() as db:
        pieces = (piece.encode() for piece in queries.in_pieces(db))
        if output is None:
            for piece in pieces:
                click.echo(piece, nl=False)
        else:
            _write_new(output, pieces)


def _write_new(file: Path, pieces: Iterator[bytes]) -> None:
    """Write a file that was not there, readable by its owner only; whole, or not at all."""
    if file.exists():
        raise click.UsageError(f"{file} is there already; name a new file, so that nothing is lost")
    unfinished = file.with_name(file.name + ".unfinished")
    try:
        handle = os.open(unfinished, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(handle, "wb") as out:
            out.writelines(pieces)
        unfinished.replace(file)
    except OSError as error:
        raise click.UsageError(f"{file} cannot be written: {error.strerror or error}") from None
    finally:
        unfinished.unlink(missing_ok=True)
