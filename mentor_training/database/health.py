"""Whether an instance can be used: its key, its database, its program files."""

from __future__ import annotations

from sqlalchemy import text
from sqlalchemy.exc import SQLAlchemyError

from mentor_training.database.instance import Instance
from mentor_training.database.schema import current_revision, newest_revision
from mentor_training.database.session import Database
from mentor_training.database.signing_keys import key_in_use
from mentor_training.errors import Refused


def faults(instance: Instance) -> list[str]:
    """Return what keeps the instance from being used, each with what would mend it; empty when nothing does."""
    found = []
    if not instance.settings.secret_key:
        key = instance.settings.folder / "keys" / "secret-key"
        found.append(f"{key} is missing: bring it back from a backup, or write a long random text into it")
    return found + signing_key_faults(instance) + database_faults(instance.database)


def signing_key_faults(instance: Instance) -> list[str]:
    """Return what keeps the instance from signing credentials."""
    try:
        key_in_use(instance.settings.folder / "keys")
    except Refused as no:
        return [reason + " `upgrade` makes the first one of an older instance." for reason in no.reasons]
    return []


def database_faults(database: Database) -> list[str]:
    """Return what is wrong with a database: out of reach, damaged, or not in the form that this program wants."""
    try:
        current, newest = current_revision(database), newest_revision()
        damaged = damage(database)
    except SQLAlchemyError as error:
        return [f"the database {address_of(database)} cannot be read: {str(error).splitlines()[0]}"]
    if damaged:
        return [f"the database is damaged ({damaged[0]}): restore a backup"]
    if current is None:
        return ["the database is empty: run `upgrade`, or restore a backup"]
    if current != newest:
        return [f"the database is at {current}, the program wants {newest}: run `upgrade`"]
    return []


def damage(database: Database) -> list[str]:
    """Return what SQLite's own check of the file finds; PostgreSQL keeps its own watch."""
    if database.engine.dialect.name != "sqlite":
        return []
    with database.engine.connect() as connection:
        found = [str(row[0]) for row in connection.execute(text("PRAGMA quick_check"))]
    return [] if found == ["ok"] else found


def missing_folders(instance: Instance) -> list[str]:
    """Return which folders of program files are not there: what is published goes on, nothing new can be."""
    settings = instance.settings
    folders = {"program": settings.program, "modules": settings.modules, "quizzes": settings.quizzes}
    return [f"{name}: there is no folder {path}" for name, path in folders.items() if not path.is_dir()]


def address_of(database: Database) -> str:
    """Return where the database is, without its password."""
    return database.engine.url.render_as_string(hide_password=True)
