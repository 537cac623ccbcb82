"""Certificates on the command line."""

from __future__ import annotations

from pathlib import Path

import click

from mentor_training.certificates import actions, queries
from mentor_training.certificates.pdf import certificate_pdf, verification_address
from mentor_training.certificates.rules import Standing
from mentor_training.database.instance import Instance
from mentor_training.people.permissions import CONSOLE

OUTPUT = click.option(
    "--output", required=True, type=click.Path(file_okay=False, path_type=Path), help="The folder for the file."
)


@click.group()
def certificates() -> None:
    """Issue certificates, write them again, verify them, revoke them."""


@certificates.command()
@click.argument("person")
@click.argument("kind")
@OUTPUT
@click.pass_obj
def issue(instance: Instance, person: str, kind: str, output: Path) -> None:
    """Issue a certificate of KIND to PERSON and write it as PDF; refused with everything that is missing."""
    with instance.database.writing() as db:
        number = actions.issue(db, instance.now(), CONSOLE, person, kind, instance.today()).number
    _write(instance, number, output)


@certificates.command()
@click.argument("number")
@OUTPUT
@click.pass_obj
def export(instance: Instance, number: str, output: Path) -> None:
    """Write certificate NUMBER as PDF once more, the same as before."""
    _write(instance, number, output)


@certificates.command()
@click.argument("number")
@click.argument("code")
@click.pass_obj
def verify(instance: Instance, number: str, code: str) -> None:
    """Say whether certificate NUMBER with CODE is valid (status 0), revoked or unknown (status 1)."""
    with instance.database.reading() as db:
        standing = queries.verify(db, number, code)
    click.echo(standing.value)
    if standing is not Standing.VALID:
        raise click.exceptions.Exit(1)


@certificates.command()
@click.argument("number")
@click.option("--reason", required=True, help="Why; it stays with the certificate.")
@click.pass_obj
def revoke(instance: Instance, number: str, reason: str) -> None:
    """Revoke certificate NUMBER; from now on verification says so."""
    with instance.database.writing() as db:
        actions.revoke(db, instance.now(), CONSOLE, number, reason)
    click.echo(f"{number} is revoked")


def _write(instance: Instance, number: str, output: Path) -> None:
    site = instance.settings.address
    with instance.database.reading() as db:
        row = queries.in_force(queries.certificate_for(db, CONSOLE, number))
        # Said first, so that it is known even where the machine cannot make PDFs.
        click.echo(f"{row.number}  {verification_address(site, row)}")
        output.mkdir(parents=True, exist_ok=True)
        path = output / f"{row.number}.pdf"
        path.write_bytes(certificate_pdf(db, row, site))
    click.echo(path)
