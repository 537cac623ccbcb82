"""Making an instance from the example that lies beside the program."""

from __future__ import annotations

import secrets
import shutil
from pathlib import Path

import click

from mentor_training.database.instance import open_instance
from mentor_training.database.schema import upgrade
from mentor_training.database.signing_keys import make_first_key

TOP = Path(__file__).resolve().parents[2]


def example_folder() -> Path:
    """Return the folder of the example, or say where it should be."""
    example = TOP / "instance_example"
    if not example.is_dir():
        raise click.UsageError("instance_example is not beside the program; run this from a checkout of the project")
    return example


def make_instance(folder: Path) -> None:
    """Make an instance from the example: program files, modules, quizzes, keys, database; publish nothing."""
    if (folder / "settings.toml").exists() or (folder.exists() and any(folder.iterdir())):
        raise click.UsageError(f"{folder} is not empty; name a new folder, so that nothing is overwritten")
    example = example_folder()
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
    """Make the key that signs session cookies, and the one that signs credentials, readable by their owner only."""
    keys = folder / "keys"
    keys.mkdir(mode=0o700, exist_ok=True)
    path = keys / "secret-key"
    path.touch(mode=0o600)
    path.write_text(secrets.token_hex(32), encoding="ascii")
    make_first_key(keys)


def prepare_database(folder: Path) -> None:
    """Bring the database to the newest form."""
    opened = open_instance(folder)
    upgrade(opened.database)
    opened.database.close()
