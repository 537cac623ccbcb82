"""The one place that asks what time it is."""

from __future__ import annotations

import time
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from typing import Protocol
from zoneinfo import ZoneInfo


class Clock(Protocol):
    """Tells the moment; everything that needs one is handed one."""

    def now(self) -> datetime:
        """Return the present moment, in UTC."""


class SystemClock:
    """The machine's own clock."""

    def now(self) -> datetime:
        """Return the present moment, in UTC."""
        return datetime.now(UTC)


@dataclass
class FixedClock:
    """A clock that stands where it is put; for tests and for telling a story."""

    moment: datetime

    def now(self) -> datetime:
        """Return the moment it was set to."""
        return self.moment

    def forward(self, **how_far: float) -> None:
        """Move it by a timedelta's keywords."""
        self.moment += timedelta(**how_far)


@dataclass
class RunningClock:
    """A clock set to a moment and running on from there, for the served demo."""

    start: datetime
    _at: float = field(default_factory=time.monotonic)

    def now(self) -> datetime:
        """Return the set moment plus the time that has passed since."""
        return self.start + timedelta(seconds=time.monotonic() - self._at)


def day_in(zone: ZoneInfo, moment: datetime) -> date:
    """Return the day in the program's time zone on which a moment falls."""
    return moment.astimezone(zone).date()
