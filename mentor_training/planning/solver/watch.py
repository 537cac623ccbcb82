"""The time that a search has, and whether somebody wants no more of it; pure but for the time it takes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from time import monotonic

Say = Callable[[str], object]


def never() -> bool:
    """Say that nobody wants it to stop."""
    return False


@dataclass(frozen=True)
class Share:
    """The seconds that one question has; `stopped` is asked all the while whether to leave it at the best so far."""

    seconds: float
    stopped: Callable[[], bool] = never


@dataclass(frozen=True)
class Watch:
    """When a search began and when its time is over; `say` is told of each step, `stopped` asked between two."""

    began: float
    ends: float
    say: Say
    stopped: Callable[[], bool]

    @property
    def left(self) -> float:
        """Return the seconds left; 0 once it was stopped."""
        return 0.0 if self.stopped() else max(0.0, self.ends - monotonic())

    def share(self, of: float) -> Share:
        """Return the share of the time left, one of so many, for one question."""
        return Share(self.left / of, self.stopped)

    @property
    def spent(self) -> float:
        """Return the seconds since it began."""
        return monotonic() - self.began


def watch_for(seconds: float, say: Say, stopped: Callable[[], bool]) -> Watch:
    """Begin now."""
    now = monotonic()
    return Watch(now, now + seconds, say, stopped)
