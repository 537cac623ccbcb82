"""Issuing certificates, verifying, revoking, and what is in doubt."""

from __future__ import annotations

from pathlib import Path

import click

from mentor_training.certificates import actions, queries
from mentor_training.certificates.checking import look_at, printable, told
from mentor_training.certificates.class_issue import ask_for_class
from mentor_training.certificates.commands.exporting import OUTPUT, export, write_one
from mentor_training.certificates.credential_check import names_holder
from mentor_training.certificates.doubts import in_doubt
from mentor_training.certificates.key_rotation import rotate_signing_key
from mentor_training.certificates.rules import Standing
from mentor_training.certificates.signing import credential_of
from mentor_training.database.instance import Instance
from mentor_training.people.permissions import CONSOLE
from mentor_training.people.queries import volunteers


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
    write_one(instance, number, output)


@certificates.command("issue-class")
@click.argument("kind")
@click.option("--section", default="", help="Only to volunteers of this section.")
@click.pass_obj
def issue_class(instance: Instance, kind: str, section: str) -> None:
    """Have KIND issued in the background to everybody who is ready; `jobs wait` shows how far it is."""
    with instance.database.writing() as db:
        number = ask_for_class(db, instance.now(), CONSOLE, kind, instance.today(), section).number
    whom = f"everybody {f'of {section} ' if section else ''}who is ready"
    click.echo(f"job {number} issues {kind} to {whom}; see it by: jobs wait {number}")


@certificates.command("credential")
@click.argument("number")
@OUTPUT
@click.pass_obj
def write_credential(instance: Instance, number: str, output: Path) -> None:
    """Write the signed credential of certificate NUMBER as JSON, as its holder gets it."""
    with instance.database.reading() as db:
        row = queries.in_force(queries.certificate_for(db, CONSOLE, number))
    made = credential_of(row, instance.settings)
    output.mkdir(parents=True, exist_ok=True)
    path = output / f"{row.number}.json"
    path.write_bytes(made)
    click.echo(path)


@certificates.command()
@click.argument("what", metavar="FILE|NUMBER")
@click.argument("code", required=False)
@click.option("--holder", default="", help="An e-mail address: was the credential in FILE given to it?")
@click.pass_obj
def verify(instance: Instance, what: str, code: str | None, holder: str) -> None:
    """Say whether certificate NUMBER with CODE is valid, or look a FILE through, a certificate's PDF or credential.

    Status 0 where it is valid and whole, else 1: lapsed, withdrawn, unknown or changed. A file is looked through with
    no network: which key signed it, and what in it does not match.
    """
    if code is None:
        _verify_file(instance, Path(what), holder)
    else:
        _verify_number(instance, what, code)


def _verify_number(instance: Instance, number: str, code: str) -> None:
    with instance.database.reading() as db:
        standing = queries.verify(db, number, code, instance.today())
    click.echo(standing.value)
    if standing is not Standing.VALID:
        raise click.exceptions.Exit(1)


def _verify_file(instance: Instance, file: Path, holder: str) -> None:
    if not file.is_file():
        raise click.UsageError(f"{file}: there is no such file; name one, or a certificate's number and its code")
    with instance.database.reading() as db:
        answer = look_at(db, instance.settings, file.read_bytes(), instance.today())
    click.echo(f"{answer.number or 'none of our numbers'}  {printable(str(answer.document.get('name', '')))}")
    click.echo(f"signed by  {answer.key or 'no key that can be read'}, {answer.signer}")
    click.echo(f"it is      {answer.standing.value}")
    given = names_holder(answer.document, holder)
    if holder:
        click.echo(f"given to   {holder}" if given else f"not given to {holder}")
    for fault in told(answer.faults):
        click.echo(fault, err=True)
    if answer.faults or answer.standing is not Standing.VALID or (holder and not given):
        raise click.exceptions.Exit(1)
    if answer.uncompared:
        click.echo("\n".join(map(printable, answer.uncompared)))
        click.echo("its credential is whole: nothing in that was changed")
    else:
        click.echo("whole: nothing in it was changed")


@certificates.command("rotate-key")
@click.pass_obj
def rotate_key(instance: Instance) -> None:
    """Sign credentials by a new key from now on; what the earlier keys signed stays verifiable."""
    with instance.database.writing() as db:
        key = rotate_signing_key(db, instance.now(), CONSOLE, instance.settings.folder / "keys")
    click.echo(f"{key.public} signs from now on; the secret of every earlier key is gone, its public half stays")


@certificates.command()
@click.argument("number")
@click.option("--reason", required=True, help="Why; it stays with the certificate.")
@click.pass_obj
def revoke(instance: Instance, number: str, reason: str) -> None:
    """Revoke certificate NUMBER; from now on verification says that it is withdrawn."""
    with instance.database.writing() as db:
        actions.revoke(db, instance.now(), CONSOLE, number, reason)
    click.echo(f"{number} is revoked")


@certificates.command()
@click.argument("number")
@click.option("--reason", required=True, help="Why; it stays with the certificate that is revoked.")
@OUTPUT
@click.pass_obj
def reissue(instance: Instance, number: str, reason: str, output: Path) -> None:
    """Revoke certificate NUMBER and issue it anew for the same day, with name and records as they are known now."""
    with instance.database.writing() as db:
        made = actions.reissue(db, instance.now(), CONSOLE, number, reason, instance.today()).number
    write_one(instance, made, output)


@certificates.command("doubts")
@click.pass_obj
def list_doubts(instance: Instance) -> None:
    """Name the valid certificates that what is known now does not bear out (status 1), or say that there is none."""
    with instance.database.reading() as db:
        people = [row.code for row in volunteers(db)]
        found = in_doubt(db, people, instance.today(), instance.now())
    for one in found:
        todo = "can be issued anew" if one.is_borne_otherwise else "its requirement does not hold on its day"
        click.echo(f"{one.issued.certificate.number}  {one.issued.certificate.person}  {todo}")
        for words in (*one.fallen, *(f"missing: {each}" for each in one.missing)):
            click.echo(f"  {words}")
    if found:
        raise click.exceptions.Exit(1)
    click.echo("no valid certificate is in doubt")


certificates.add_command(export)
