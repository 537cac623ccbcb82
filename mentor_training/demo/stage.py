"""What every chapter of the story is handed: the instance, the cast, the agenda, and moments of the term."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time
from pathlib import Path
from zoneinfo import ZoneInfo

from mentor_training.clock import day_in
from mentor_training.database.instance import Instance
from mentor_training.demo.agenda import Agenda
from mentor_training.demo.cast import Cast

DEMO_DAY = date(2026, 10, 17)
DEMO_TIME = "08:40"


@dataclass(frozen=True)
class Stage:
    """Where the story is told."""

    instance: Instance
    example: Path
    cast: Cast
    agenda: Agenda = field(default_factory=Agenda)

    @property
    def zone(self) -> ZoneInfo:
        """Return the program's time zone."""
        return self.instance.settings.zone

    def moment(self, day: date, clock: str | time) -> datetime:
        """Return the moment at which the clock of the program's zone shows a time on a day, such as 09:30."""
        shown = time.fromisoformat(clock) if isinstance(clock, str) else clock
        return datetime.combine(day, shown, self.zone).astimezone(UTC)

    def day(self, moment: datetime) -> date:
        """Return the day of a moment in the program's zone."""
        return day_in(self.zone, moment)
