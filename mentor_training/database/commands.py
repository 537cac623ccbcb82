"""Making an instance, looking after it."""

from __future__ import annotations

from pathlib import Path

import click

from mentor_training.database.backup import make_backup, restore
from mentor_training.database.health import address_of, faults, missing_folders
from mentor_training.database.instance import Instance, open_instance
from mentor_training.database.making import make_instance
from mentor_training.database.schema import upgrade
from mentor_training.database.signing_keys import make_first_key
from mentor_training.settings import SettingsError


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
def start(folder: Path) -> None:
    """Make an instance in FOLDER from the example; it refuses a folder that holds one already."""
    make_instance(folder)
    click.echo(f"{folder}: an instance with the example's program files; nothing is published yet")
    click.echo(f"next: python3 -m mentor_training --instance {folder} check, then publish --effective DAY --yes")


@click.command()
@click.pass_obj
def health(instance: Instance) -> None:
    """Say whether the instance can be used: settings, key, database, program files.

    Exit status 1 when it cannot be served as it is.
    """
    show_health(instance)


def show_health(instance: Instance) -> None:
    """Print what was looked at; exit with status 1 when something keeps the instance from being used."""
    click.echo(f"{instance.now().isoformat(timespec='seconds')}  {instance.settings.title}")
    click.echo(f"settings  {instance.settings.folder / 'settings.toml'}")
    click.echo(f"database  {address_of(instance.database)}")
    for note in missing_folders(instance):
        click.echo(f"note      {note}")
    wrong = faults(instance)
    for fault in wrong:
        click.echo(fault, err=True)
    if wrong:
        raise click.exceptions.Exit(1)
    click.echo("in order")


@click.command("upgrade")
@click.pass_obj
def upgrade_command(instance: Instance) -> None:
    """Bring the database to the newest form; make the key that signs credentials where there is none yet."""
    upgrade(instance.database)
    click.echo("the database is up to date")
    if make_first_key(instance.settings.folder / "keys"):
        click.echo("made the key that signs credentials; keep it, as the others, with the backups")


@click.command()
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@click.pass_obj
def backup(instance: Instance, file: Path) -> None:
    """Write the instance whole into FILE (a .tar.gz), while it is in use: database, settings, keys, program files.

    Whoever has the file has everybody's records and the keys; keep it as you keep those. With PostgreSQL it says which
    command to use instead. Pictures of papers are left out on purpose: they are deleted when the paper is verified, and
    a backup would keep them.
    """
    many = make_backup(instance, file)
    click.echo(
        f"{file}: {many} files, {file.stat().st_size:,} bytes; it holds the keys, keep it as safe as the records"
    )
    click.echo("left out on purpose: pictures of papers that wait to be verified; restored, they are asked for again")


@click.command("restore")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.argument("folder", type=click.Path(path_type=Path))
def restore_command(file: Path, folder: Path) -> None:
    """Make an instance in FOLDER, new or empty, from the backup FILE, and say whether it can be used."""
    restore(file, folder)
    try:
        opened = open_instance(folder)
    except SettingsError as error:
        click.echo(str(error), err=True)
        raise click.exceptions.Exit(1) from None
    show_health(opened)
    opened.database.close()
