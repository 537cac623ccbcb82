"""Bringing a database to the newest form, by Alembic from code."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection

from mentor_training.database.session import Database

MIGRATIONS = Path(__file__).parent / "migrations"


def configuration(connection: Connection | None = None) -> Config:
    """Return Alembic's configuration for a connection, with no ini file."""
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    config.attributes["connection"] = connection
    return config


def upgrade(database: Database) -> None:
    """Bring a database to the newest form, in one transaction.

    SQLite's foreign keys are off meanwhile, set before BEGIN: a rebuilt table would otherwise delete its children
    by cascade. They are checked before the commit.
    """
    with database.engine.connect() as connection:
        sqlite = connection.dialect.name == "sqlite"
        driver: Any = connection.connection.driver_connection
        if sqlite:
            driver.execute("PRAGMA foreign_keys=OFF")
        try:
            _upgrade(connection)
        finally:
            if sqlite:
                driver.execute("PRAGMA foreign_keys=ON")


def _upgrade(connection: Connection) -> None:
    sqlite = connection.dialect.name == "sqlite"
    with connection.execution_options(sqlite_begin="IMMEDIATE").begin():
        if not sqlite:
            connection.exec_driver_sql("SELECT pg_advisory_xact_lock(7263)")
        command.upgrade(configuration(connection), "head")
        if sqlite:
            broken = connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
            if broken:
                raise RuntimeError(f"the migration would break references: {broken[:5]}")


def newest_revision() -> str | None:
    """Return the revision the program wants."""
    return ScriptDirectory.from_config(configuration()).get_current_head()


def current_revision(database: Database) -> str | None:
    """Return the revision a database is at."""
    with database.engine.connect() as connection:
        return MigrationContext.configure(connection).get_current_revision()
