"""Making an instance, looking after it."""

from __future__ import annotations

import secrets
import shutil
from datetime import UTC, datetime
from pathlib import Path

import click

from mentor_training.database.instance import Instance, open_instance
from mentor_training.database.schema import upgrade

TOP = Path(__file__).resolve().parents[2]


def make_instance(folder: Path) -> None:
    """Make an instance from the example: program files, modules, quizzes, keys, database; publish nothing."""
    if (folder / "settings.toml").exists() or (folder.exists() and any(folder.iterdir())):
        raise click.UsageError(f"{folder} is not empty; name a new folder, so that nothing is overwritten")
    example = TOP / "instance_example"
    if not example.is_dir():
        raise click.UsageError("instance_example is not beside the program; run this from a checkout of the project")
    folder.mkdir(parents=True, exist_ok=True)
    shutil.copytree(example / "program", folder / "program")
    for name in ("modules", "quizzes"):
        shutil.copytree(TOP / name, folder / name)
    settings = (example / "settings.toml").read_text(encoding="utf-8")
    (folder / "settings.toml").write_text(
        settings.replace('"../modules"', '"modules"').replace('"../quizzes"', '"quizzes"')
    )
    make_keys(folder)
    prepare_database(folder)


def make_keys(folder: Path) -> None:
    """Make the key that signs session cookies, readable by its owner only."""
    keys = folder / "keys"
    keys.mkdir(mode=0o700, exist_ok=True)
    path = keys / "secret-key"
    path.touch(mode=0o600)
    path.write_text(secrets.token_hex(32), encoding="ascii")


def prepare_database(folder: Path) -> None:
    """Bring the database to the newest form."""
    opened = open_instance(folder)
    upgrade(opened.database)
    opened.database.close()


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
def start(folder: Path) -> None:
    """Make an instance in FOLDER from the example; it refuses a folder that holds one already."""
    make_instance(folder)
    click.echo(f"{folder}: an instance with the example's program files; nothing is published yet")
    click.echo(f"next: mentor-training --instance {folder} check, then publish --effective DAY --yes")


@click.command()
@click.pass_obj
def health(instance: Instance) -> None:
    """Say whether the instance can be used: settings, database, journal's head."""
    from mentor_training.database.schema import current_revision, newest_revision

    now = datetime.now(UTC).isoformat(timespec="seconds")
    current, newest = current_revision(instance.database), newest_revision()
    click.echo(
        f"{now}  settings {instance.settings.folder}  database {instance.database.engine.dialect.name} at {current}"
    )
    if current != newest:
        click.echo(f"the database is at {current}, the program wants {newest}: run `mentor-training upgrade`", err=True)
        raise click.exceptions.Exit(1)


@click.command("upgrade")
@click.pass_obj
def upgrade_command(instance: Instance) -> None:
    """Bring the database to the newest form."""
    upgrade(instance.database)
    click.echo("the database is up to date")
