"""Letters on the command line."""

from __future__ import annotations

from pathlib import Path

import click

from mentor_training.certificates.rules import Standing
from mentor_training.database.instance import Instance
from mentor_training.journal.queries import head
from mentor_training.letters.digests import Digest, Outcome
from mentor_training.letters.note_sending import note_letters
from mentor_training.letters.pdf import hours_letter_pdf, midterm_pdf, verification_address
from mentor_training.letters.posting import NotReached, Post
from mentor_training.letters.queries.matters import digests_due
from mentor_training.letters.queries.midterm import note_people, notes_of
from mentor_training.letters.queries.refused import RefusedAddress, set_aside
from mentor_training.letters.queries.told import without_end
from mentor_training.letters.queries.written import letter_for, verify_letter
from mentor_training.letters.sending import Letter, as_letter, midnight_of, send_all
from mentor_training.letters.writing import write_letter
from mentor_training.people.permissions import CONSOLE
from mentor_training.settings import SettingsError, mail_server
from mentor_training.web.paper_size import SIZES

OUTPUT = click.option(
    "--output", required=True, type=click.Path(file_okay=False, path_type=Path), help="The folder for the files."
)


@click.group()
def letters() -> None:
    """Write letters: somebody's hours, years later too; mid-term notes of a section."""


@letters.command("hours")
@click.argument("person")
@OUTPUT
@click.pass_obj
def hours_command(instance: Instance, person: str, output: Path) -> None:
    """Write PERSON's letter of hours of today under a number, as PDF: what was stated, by term and category."""
    with instance.database.writing() as db:
        number = write_letter(db, instance.now(), CONSOLE, person, instance.settings.title, instance.today()).number
    _write(instance, number, output)


@letters.command("export")
@click.argument("number")
@OUTPUT
@click.pass_obj
def export_command(instance: Instance, number: str, output: Path) -> None:
    """Write letter NUMBER as PDF once more, the same as before."""
    _write(instance, number, output)


def _write(instance: Instance, number: str, output: Path) -> None:
    with instance.database.reading() as db:
        row = letter_for(db, CONSOLE, number)
        # Said first, so that it is known even where the machine cannot make PDFs.
        click.echo(f"{row.number}  {verification_address(instance.settings.address, row)}")
        content = hours_letter_pdf(row, instance.settings)
    output.mkdir(parents=True, exist_ok=True)
    path = output / f"{row.number}.pdf"
    path.write_bytes(content)
    click.echo(path)


@letters.command("verify")
@click.argument("number")
@click.argument("code")
@click.pass_obj
def verify_command(instance: Instance, number: str, code: str) -> None:
    """Say whether letter NUMBER with CODE is valid (status 0) or unknown (1), and nothing else about anybody."""
    with instance.database.reading() as db:
        found = verify_letter(db, number, code)
    standing = found[1] if found else Standing.UNKNOWN
    click.echo(standing.value)
    if standing is not Standing.VALID:
        raise click.exceptions.Exit(1)


SECTION = click.argument("section")


@letters.command("midterm")
@SECTION
@OUTPUT
@click.option("--size", type=click.Choice(tuple(SIZES)), default="letter", show_default=True, help="The paper.")
@click.pass_obj
def midterm_command(instance: Instance, section: str, output: Path, size: str) -> None:
    """Write the mid-term notes of SECTION as one PDF, a student a page: where each stands today."""
    with instance.database.reading() as db:
        rows, zone = note_people(db, CONSOLE, section), instance.settings.zone
        found = notes_of(db, CONSOLE, rows, instance.today(), instance.now(), zone)
        content = midterm_pdf(found, instance.settings, head(db), size)
    output.mkdir(parents=True, exist_ok=True)
    path = output / f"midterm-notes-{section}.pdf"
    path.write_bytes(content)
    click.echo(path)


@letters.command("send-midterm")
@SECTION
@click.option("--dry-run", is_flag=True, help="Show the mails word for word, and send and store nothing.")
@click.pass_obj
def send_midterm(instance: Instance, section: str, dry_run: bool) -> None:
    """Send the mid-term notes of SECTION by mail: to each student once, however often it is asked for on one day."""
    found = note_letters(instance, CONSOLE.code, section, instance.today())
    if dry_run:
        for one in found:
            click.echo(f"{one.person} <{one.address}>\n{one.subject}\n\n{one.text}")
        click.echo(f"{len(found)} {'mail' if len(found) == 1 else 'mails'}; nothing was sent or stored")
    elif not found:
        click.echo("every note of today went out already, or its address is set aside")
    else:
        _send(instance, found)


WORDS = {
    Outcome.ACCEPTED: "sent",
    Outcome.REFUSED: "refused by the server ({code}); it is tried again next time",
    Outcome.ADDRESS_REFUSED: "the address is refused by the server ({code}); it is tried again next time, look at it",
    Outcome.NOT_REACHED: "not sent, the connection broke; it is tried again next time",
    Outcome.UNKNOWN: "no answer, so that it may have gone out; it is not sent again",
}


@click.command()
@click.option("--dry-run", is_flag=True, help="Show what would be sent, and send and store nothing.")
@click.pass_obj
def remind(instance: Instance, dry_run: bool) -> None:
    """Send each person who wants it one mail of what is new for them: meant for a daily timer.

    Sessions, cards to read, retakes, papers that end, sign-offs and hours that wait. Each thing is told once.
    """
    day, now = instance.today(), instance.now()
    with instance.database.reading() as db:
        digests = digests_due(db, day, now, instance.settings.zone, midnight_of(instance))
        lost, away = without_end(db), set_aside(db)
    if dry_run:
        _show(digests)
    elif not digests:
        click.echo("nothing new to tell anybody")
    else:
        _send(instance, [as_letter(instance, one) for one in digests])
    _tell_beside(lost, away)


def _tell_beside(lost: int, away: tuple[RefusedAddress, ...]) -> None:
    """Say which earlier mails nobody knows the end of, and to whom nothing is sent any more."""
    if lost:
        many = "1 earlier mail ended without an answer; it counts"
        many = many if lost == 1 else f"{lost} earlier mails ended without an answer; they count"
        click.echo(f"{many} as sent", err=True)
    for one in away:
        click.echo(
            f"{one.person}: set aside, this address was refused {one.times} times; give another by `people import`, or "
            "have it tried again at /letters/addresses",
            err=True,
        )


def _show(digests: tuple[Digest, ...]) -> None:
    for one in digests:
        click.echo(f"{one.person} <{one.address}>")
        for matter in one.matters:
            click.echo(f"  {matter.text}")
    click.echo(f"{len(digests)} {'mail' if len(digests) == 1 else 'mails'}; nothing was sent or stored")


def _send(instance: Instance, mails: list[Letter]) -> None:
    """Send mails and say how each ended; exit status 1 unless all were accepted."""
    try:
        server = mail_server(instance.settings)
    except SettingsError as error:
        raise click.UsageError(str(error)) from None
    good = True
    try:
        with Post(server) as post:
            for letter, said in send_all(instance, mails, post):
                click.echo(f"{letter.person}: {WORDS[said.outcome].format(code=said.code)}")
                good = good and said.outcome == Outcome.ACCEPTED
    except NotReached as no:
        click.echo(str(no), err=True)
        good = False
    if not good:
        raise click.exceptions.Exit(1)
