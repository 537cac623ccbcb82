"""An opened instance: its settings, its database and its clock."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from sqlalchemy import Integer, column, select, table
from sqlalchemy.exc import SQLAlchemyError

from mentor_training.clock import Clock, RunningClock, SystemClock, day_in
from mentor_training.database.column_types import UtcDateTime
from mentor_training.database.session import Database
from mentor_training.settings import Settings, read_settings


@dataclass(frozen=True)
class Instance:
    """What every command and every request is handed."""

    settings: Settings
    database: Database
    clock: Clock

    def now(self) -> datetime:
        """Return the present moment."""
        return self.clock.now()

    def today(self) -> date:
        """Return the present day in the program's time zone."""
        return day_in(self.settings.zone, self.clock.now())


def open_instance(folder: Path, clock: Clock | None = None) -> Instance:
    """Open the instance in a folder; a demo's clock goes on from where its story stopped, and never back behind it."""
    settings = read_settings(folder.resolve())
    database = Database(settings.database)
    return Instance(settings, database, clock or clock_of(settings, database))


def clock_of(settings: Settings, database: Database) -> Clock:
    """Return the machine's clock, or for a demo one that runs on from its story, or from what was recorded since."""
    if not settings.demo:
        return SystemClock()
    told = datetime.fromisoformat(json.loads((settings.folder / "demo.json").read_text(encoding="utf-8"))["now"])
    recorded = last_moment(database)
    return RunningClock(max(told, recorded) if recorded else told)


# Named here and not taken from the journal, which stands above the database; only its newest moment is asked for.
_JOURNAL = table("journal_entry", column("number", Integer), column("moment", UtcDateTime))


def last_moment(database: Database) -> datetime | None:
    """Return the moment of the journal's newest entry, or None where there is none, or no journal yet."""
    newest = select(_JOURNAL.c.moment).order_by(_JOURNAL.c.number.desc()).limit(1)
    try:
        with database.reading() as db:
            return db.scalar(newest)
    except SQLAlchemyError:
        return None
