"""Engines and sessions for SQLite and PostgreSQL.

On SQLite every writer begins with BEGIN IMMEDIATE: the driver's own way of beginning loses updates of two processes
silently, and a deferred beginning fails at once where waiting would have done.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import CursorResult, Engine, Executable, create_engine, event
from sqlalchemy.engine import make_url
from sqlalchemy.orm import Session

BUSY_MILLISECONDS = 15000

Ran = CursorResult[*tuple[Any, ...]]


class Database:
    """One engine, handed out as sessions that read and sessions that write.

    Every session carries `remembered`: what the rooms above keep in this process of what was committed here. A session
    that writes may look into it, but sees what it has not committed yet, and so must put nothing there.
    """

    def __init__(self, url: str) -> None:
        self.url = url
        self.remembered: dict[str, Any] = {}
        self.engine = engine_for(url)
        self.writer = self.engine.execution_options(sqlite_begin="IMMEDIATE")
        # One answer asks several questions; SQLite's readers see one state throughout, and so do PostgreSQL's here.
        is_postgres = self.engine.dialect.name == "postgresql"
        self.reader = self.engine.execution_options(isolation_level="REPEATABLE READ") if is_postgres else self.engine

    def open_reader(self) -> Session:
        """Return a session for questions; the caller closes it."""
        return Session(self.reader, expire_on_commit=False, info={"remembered": self.remembered})

    def open_writer(self) -> Session:
        """Return a session for acts; the caller commits or closes it."""
        info = {"remembered": self.remembered, "writes": True}
        return Session(self.writer, expire_on_commit=False, info=info)

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """Give a session for questions and close it."""
        with self.open_reader() as db:
            yield db

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """Give a session for acts; commit once at the end, or roll all of it back."""
        with self.open_writer() as db:
            db.connection()  # begins at once, so that the clock read inside is read after one's turn has come
            yield db
            db.commit()

    def close(self) -> None:
        """Let go of all connections."""
        self.engine.dispose()


def run(db: Session, statement: Executable, values: Mapping[str, Any] | list[dict[str, Any]] | None = None) -> Ran:
    """Run a statement on bare tables, after whatever waits in the session is stored.

    Made once and run so, it costs a fifth of what the same costs as objects of the session, which then know nothing of
    it; for what is done with every act.
    """
    db.flush()
    return db.connection().execute(statement, values)


def engine_for(url: str) -> Engine:
    """Make an engine with the settings that durability asks for."""
    parsed = make_url(url)
    if parsed.get_backend_name() != "sqlite":
        return create_engine(url, pool_pre_ping=True, hide_parameters=True)
    if parsed.database and parsed.database != ":memory:":
        _make_private(Path(parsed.database))
    engine = create_engine(url, hide_parameters=True)
    event.listen(engine, "connect", _set_up_sqlite)
    event.listen(engine, "begin", _begin_sqlite)
    return engine


def _make_private(path: Path) -> None:
    """Make the file readable by its owner only; SQLite gives its companions the same rights."""
    path.parent.mkdir(parents=True, exist_ok=True)
    if not path.exists():
        path.touch(mode=0o600)


def _set_up_sqlite(connection: Any, _record: Any) -> None:
    """Set what each connection must: recursive triggers, so that REPLACE too meets the guards of append-only tables."""
    connection.isolation_level = None
    for pragma in (
        "foreign_keys=ON",
        "recursive_triggers=ON",
        f"busy_timeout={BUSY_MILLISECONDS}",
        "journal_mode=WAL",
        "synchronous=FULL",
    ):
        connection.execute(f"PRAGMA {pragma}").close()


def _begin_sqlite(connection: Any) -> None:
    how = connection.get_execution_options().get("sqlite_begin", "DEFERRED")
    connection.exec_driver_sql(f"BEGIN {how}")
