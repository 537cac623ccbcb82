"""Triggers by which the database itself refuses to change what must never change."""

from __future__ import annotations

from collections.abc import Sequence

from alembic import op


def refuse_changes(table: str, keys: Sequence[str]) -> None:
    """Let rows be added to a table and never changed or deleted, on both databases; `keys` are its unique keys."""
    if op.get_bind().dialect.name == "postgresql":
        _refuse_on_postgresql(table)
        return
    for change in ("UPDATE", "DELETE"):
        op.execute(
            f"CREATE TRIGGER {table}_refuses_{change.lower()} BEFORE {change} ON {table} "
            f"BEGIN SELECT RAISE(ABORT, '{table} is append-only: correct it by another entry'); END"
        )
    # REPLACE INTO deletes without asking the trigger above, so an insert over a row that is there is refused as well.
    same = " OR ".join(
        "(" + " AND ".join(f"{column} = NEW.{column}" for column in key.split(", ")) + ")" for key in keys
    )
    op.execute(  # the names are those of our own tables
        f"CREATE TRIGGER {table}_refuses_replace BEFORE INSERT ON {table} "
        f"WHEN EXISTS (SELECT 1 FROM {table} WHERE {same}) "
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
