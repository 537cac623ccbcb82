"""Letters on the command line."""

from __future__ import annotations

from pathlib import Path

import click

from mentor_training.database.instance import Instance
from mentor_training.journal.queries import head
from mentor_training.letters.pdf import hours_letter_pdf
from mentor_training.letters.queries import hours_letter
from mentor_training.people.queries import person_for

OUTPUT = click.option(
    "--output", required=True, type=click.Path(file_okay=False, path_type=Path), help="The folder for the files."
)


@click.group()
def letters() -> None:
    """Write letters: somebody's hours, years later too."""


@letters.command("hours")
@click.argument("person")
@OUTPUT
@click.pass_obj
def hours_command(instance: Instance, person: str, output: Path) -> None:
    """Write PERSON's letter of hours as PDF: what was stated, by term and category, with the statements' numbers."""
    with instance.database.reading() as db:
        letter = hours_letter(db, person_for(db, person))
        content = hours_letter_pdf(letter, instance.settings, instance.today(), head(db))
    output.mkdir(parents=True, exist_ok=True)
    path = output / f"hours-letter-{letter.person}.pdf"
    path.write_bytes(content)
    click.echo(path)
