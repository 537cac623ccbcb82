"""Writing certificates as files: one, or those of a class."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from mentor_training.certificates import queries
from mentor_training.certificates.class_files import INDEX, Wanted, index_of, wanted_rows, write_files
from mentor_training.certificates.pdf import SHEETS, certificate_pdf, verification_address
from mentor_training.certificates.signing import credential_of
from mentor_training.database.instance import Instance
from mentor_training.people.permissions import CONSOLE

FOLDER = click.Path(file_okay=False, path_type=Path)
OUTPUT = click.option("--output", required=True, type=FOLDER, help="The folder for the file.")
MOST_PROCESSES = 32


@click.command()
@click.argument("number", required=False)
@click.option("--section", default="", help="Of all volunteers of this section, in the place of NUMBER.")
@click.option("--kind", default="", help="Of this kind of certificate, in the place of NUMBER.")
@click.option("--output", "--folder", required=True, type=FOLDER, help="The folder for the files.")
@click.option("--archival", is_flag=True, help="PDF/A-3, to be kept for long, with the signed credential in it.")
@click.option(
    "--size", type=click.Choice(list(SHEETS)), default=None, help="Of the paper; default: as in the settings."
)
@click.option(
    "--processes", type=click.IntRange(1, MOST_PROCESSES), default=1, show_default=True,
    help="How many render at once; one for each core pays for many certificates.",
)  # fmt: skip
@click.pass_obj
def export(
    instance: Instance, number: str | None, section: str, kind: str, output: Path, archival: bool, size: str | None,
    processes: int,
) -> None:  # fmt: skip
    """Write certificate NUMBER as PDF once more, the same as before; or all valid ones of a section, a kind, or both.

    Of many, those that lie there already are left where they are the same: broken off, it goes on.
    """
    wanted = Wanted(section, kind, size or instance.settings.paper, archival)
    if number and (section or kind):
        raise click.UsageError("name a NUMBER, or a --section, a --kind or both")
    if number:
        write_one(instance, number, output, wanted)
    elif section or kind:
        write_many(instance, wanted, output, processes)
    else:
        raise click.UsageError("name a NUMBER, a --section or a --kind")


def write_one(instance: Instance, number: str, output: Path, wanted: Wanted | None = None) -> None:
    """Write a certificate that is in force as PDF into a folder, and print where it is verified and where it lies."""
    settings = instance.settings
    wanted = wanted or Wanted(size=settings.paper)
    with instance.database.reading() as db:
        row = queries.in_force(queries.certificate_for(db, CONSOLE, number))
        # Said first, so that it is known even where the machine cannot make PDFs.
        click.echo(f"{row.number}  {verification_address(settings.address, row)}")
        credential = credential_of(row, settings) if wanted.archival else b""
        made = certificate_pdf(db, row, settings.address, credential, wanted.size)
    output.mkdir(parents=True, exist_ok=True)
    path = output / wanted.file_of(row.number)
    path.write_bytes(made)
    click.echo(path)


def write_many(instance: Instance, wanted: Wanted, output: Path, processes: int) -> None:
    """Write the certificates that are meant into a folder, with a bar on a terminal, and whose each of them is."""
    with instance.database.reading() as db:
        numbers = [number for number, _, _ in wanted_rows(db, CONSOLE, wanted, instance.today())]
    written, hidden = [], not sys.stderr.isatty()
    with click.progressbar(length=len(numbers), label="certificates", file=sys.stderr, hidden=hidden) as bar:
        for number in write_files(instance, numbers, wanted, output, processes):
            written.append(number)
            bar.update(1)
    with instance.database.reading() as db:
        index = index_of(db, sorted(written), wanted)
    (output / INDEX).write_text(index, encoding="utf-8", newline="")
    are = "certificate is" if len(written) == 1 else "certificates are"
    click.echo(f"{len(written)} {are} in {output}; {INDEX} there says whose each is")
