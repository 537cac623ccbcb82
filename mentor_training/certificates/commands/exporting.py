"""Writing certificates as files."""

from __future__ import annotations

from pathlib import Path

import click

from mentor_training.certificates import queries
from mentor_training.certificates.pdf import SHEETS, certificate_pdf, verification_address
from mentor_training.certificates.signing import credential_of
from mentor_training.database.instance import Instance
from mentor_training.people.permissions import CONSOLE

OUTPUT = click.option(
    "--output", required=True, type=click.Path(file_okay=False, path_type=Path), help="The folder for the file."
)


@click.command()
@click.argument("number")
@OUTPUT
@click.option("--archival", is_flag=True, help="PDF/A-3, to be kept for long, with the signed credential in it.")
@click.option("--size", type=click.Choice(list(SHEETS)), default=None, help="Of the paper; default: the settings' one.")
@click.pass_obj
def export(instance: Instance, number: str, output: Path, archival: bool, size: str | None) -> None:
    """Write certificate NUMBER as PDF once more, the same as before."""
    write_one(instance, number, output, archival, size)


def write_one(
    instance: Instance, number: str, output: Path, archival: bool = False, size: str | None = None
) -> None:  # fmt: skip
    """Write a certificate that is in force as PDF into a folder, and print where it is verified and where it lies."""
    settings = instance.settings
    with instance.database.reading() as db:
        row = queries.in_force(queries.certificate_for(db, CONSOLE, number))
        # Said first, so that it is known even where the machine cannot make PDFs.
        click.echo(f"{row.number}  {verification_address(settings.address, row)}")
        credential = credential_of(row, settings) if archival else b""
        made = certificate_pdf(db, row, settings.address, credential, size or settings.paper)
    output.mkdir(parents=True, exist_ok=True)
    path = output / f"{row.number}{'-archival' if archival else ''}.pdf"
    path.write_bytes(made)
    click.echo(path)
