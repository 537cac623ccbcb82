"""Triggers by which the database itself refuses to change what must never change."""

from __future__ import annotations

from alembic import op


def refuse_changes(table: str) -> None:
    """Let rows be added to a table and never updated or deleted, on both databases."""
    if op.get_bind().dialect.name == "postgresql":
        _refuse_on_postgresql(table)
        return
    for change in ("UPDATE", "DELETE"):
        op.execute(
            f"CREATE TRIGGER {table}_refuses_{change.lower()} BEFORE {change} ON {table} "
            f"BEGIN SELECT RAISE(ABORT, '{table} is append-only: correct it by another entry'); END"
        )


def _refuse_on_postgresql(table: str) -> None:
    op.execute(
        f"CREATE FUNCTION {table}_refuses() RETURNS trigger LANGUAGE plpgsql AS $$ "
        f"BEGIN RAISE EXCEPTION '{table} is append-only: correct it by another entry'; END $$"
    )
    op.execute(
        f"CREATE TRIGGER {table}_refuses_change BEFORE UPDATE OR DELETE ON {table} "
        f"FOR EACH ROW EXECUTE FUNCTION {table}_refuses()"
    )
    op.execute(
        f"CREATE TRIGGER {table}_refuses_truncate BEFORE TRUNCATE ON {table} "
        f"FOR EACH STATEMENT EXECUTE FUNCTION {table}_refuses()"
    )
