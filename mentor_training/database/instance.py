"""An opened instance: its settings, its database and its clock."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from mentor_training.clock import Clock, RunningClock, SystemClock, day_in
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
    """Open the instance in a folder; a demo's clock goes on from where its story stopped."""
    settings = read_settings(folder.resolve())
    return Instance(settings, Database(settings.database), clock or clock_of(settings))


def clock_of(settings: Settings) -> Clock:
    """Return the machine's clock, or for a demo one that runs on from the day of its story."""
    if not settings.demo:
        return SystemClock()
    told = json.loads((settings.folder / "demo.json").read_text(encoding="utf-8"))
    return RunningClock(datetime.fromisoformat(told["now"]))
