"""The migrations, from nothing, make exactly the tables that the program knows."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from sqlalchemy import inspect, text

import mentor_training
from mentor_training.database.base import Base
from mentor_training.database.health import database_faults
from mentor_training.database.schema import current_revision, newest_revision, upgrade
from mentor_training.database.session import Database
from tests.storage.test_append_only import APPEND_ONLY

PACKAGE = Path(mentor_training.__file__).parent


def know_every_table() -> None:
    """Import every room's tables, as the application does by way of its pages."""
    for path in sorted(PACKAGE.glob("*/tables.py")):
        import_module(f"mentor_training.{path.parent.name}.tables")


def test_from_nothing_the_migrations_make_exactly_the_tables(empty: Database) -> None:
    """Alembic's own comparison finds nothing to add, to drop or to change: tables, columns, types, keys, indexes."""
    know_every_table()
    upgrade(empty)
    with empty.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, Base.metadata) == []
        found = set(inspect(connection).get_table_names())
    assert found == {*Base.metadata.tables, "alembic_version"}


def test_every_table_that_only_grows_has_its_guards_and_no_other_table_has(empty: Database) -> None:
    """For UPDATE, DELETE and REPLACE on SQLite; for the first two together, and for TRUNCATE, on PostgreSQL."""
    upgrade(empty)
    with empty.engine.connect() as connection:
        if empty.engine.dialect.name == "sqlite":
            query = "SELECT name, tbl_name FROM sqlite_master WHERE type = 'trigger'"
        else:
            query = "SELECT tgname, tgrelid::regclass::text FROM pg_trigger WHERE NOT tgisinternal"
        found = [tuple(row) for row in connection.execute(text(query))]
    assert {table for _, table in found} == set(APPEND_ONLY)
    assert len(found) == (3 if empty.engine.dialect.name == "sqlite" else 2) * len(APPEND_ONLY)


def test_a_second_upgrade_changes_nothing(empty: Database) -> None:
    """It can be run at every start."""
    upgrade(empty)
    upgrade(empty)
    assert current_revision(empty) == newest_revision()
    assert database_faults(empty) == []


def test_an_upgrade_that_fails_leaves_the_database_as_it_was(empty: Database, monkeypatch: pytest.MonkeyPatch) -> None:
    """Both databases change their tables within a transaction, and the migration is one."""
    monkeypatch.setattr("mentor_training.database.guards.refuse_changes", fail)
    with pytest.raises(RuntimeError, match="broken on the way"):
        upgrade(empty)
    with empty.engine.connect() as connection:
        assert inspect(connection).get_table_names() == []
    assert database_faults(empty) == ["the database is empty: run `upgrade`, or restore a backup"]


def fail(table: str, _keys: object) -> None:
    raise RuntimeError(f"broken on the way, at {table}")
