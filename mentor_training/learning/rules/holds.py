"""When a quiz may be tried again: one attempt at a time, a cool-down, and the hold until somebody has talked about it.

All moments are aware. `Tried` is one attempt of one person at one quiz.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

RESUME_HOURS = 24


def time_to_resume(extra_time_percent: int = 0) -> timedelta:
    """Return for how long an attempt can be taken up again: 24 hours, and so many percent of them more."""
    return timedelta(hours=RESUME_HOURS) * (100 + extra_time_percent) / 100


@dataclass(frozen=True)
class Tried:
    """One attempt. `unsafe` names the items in which an unsafe choice was made.

    `extra_time_percent` is what the person is allowed beyond the time that everybody has.
    """

    started_at: datetime
    closed_at: datetime | None = None
    passed: bool = False
    unsafe: tuple[str, ...] = ()
    extra_time_percent: int = 0

    @property
    def resumes_until(self) -> datetime:
        """Return the moment up to which an attempt that was broken off can be taken up. A rule of this program."""
        return self.started_at + time_to_resume(self.extra_time_percent)

    def is_open(self, now: datetime) -> bool:
        """Say whether answers can still be given."""
        return self.closed_at is None and now < self.resumes_until

    def is_abandoned(self, now: datetime) -> bool:
        """Say whether it was never closed and its time to be taken up again is over."""
        return self.closed_at is None and now >= self.resumes_until

    @property
    def ended_at(self) -> datetime:
        """Return the moment from which it lies behind, or will."""
        return self.closed_at or self.resumes_until


@dataclass(frozen=True)
class Hold:
    """Why no further attempt starts: how many were not passed, and in which items the same person was unsafe twice.

    `since` is the moment at which the last of these attempts ended.
    """

    since: datetime
    not_passed: int = 0
    unsafe_twice: tuple[str, ...] = ()


@dataclass(frozen=True)
class Permission:
    """Whether an attempt may start now: not while one is open, not while held, not before `from_moment`."""

    open: Tried | None = None
    hold: Hold | None = None
    from_moment: datetime | None = None

    @property
    def may_start(self) -> bool:
        """Say whether a new attempt may start."""
        return self.open is None and self.hold is None and self.from_moment is None


def counted(attempts: Sequence[Tried], now: datetime) -> tuple[Tried, ...]:
    """Return the attempts that lie behind and count.

    The first one that was abandoned is not counted: a connection may have broken. Any later one counts as not passed.
    A rule of this program.
    """
    found: list[Tried] = []
    spared = False
    for attempt in attempts:
        if attempt.is_abandoned(now) and not spared:
            spared = True
        elif not attempt.is_open(now):
            found.append(attempt)
    return tuple(found)


def hold(attempts: Sequence[Tried], talks: Sequence[datetime], failures: int, now: datetime) -> Hold | None:
    """Return what holds further attempts, or None. A rule of this program.

    `failures` attempts not passed, or an unsafe choice in the same item in two attempts, hold until a conversation is
    recorded after them; only what came after the last conversation counts.
    """
    last_talk = max(talks, default=None)
    since = [one for one in counted(attempts, now) if last_talk is None or one.ended_at > last_talk]
    not_passed = sum(not one.passed for one in since)
    times = Counter(item for one in since for item in set(one.unsafe))
    twice = tuple(sorted(item for item, often in times.items() if often >= 2))
    if not_passed < failures and not twice:
        return None
    return Hold(max(one.ended_at for one in since), not_passed if not_passed >= failures else 0, twice)


def free_from(attempts: Sequence[Tried], cool_down_hours: float, now: datetime) -> datetime | None:
    """Return the moment from which the cool-down lets the next attempt start, or None if it is over.

    In hours from the end of the last attempt that counts. A rule of this program.
    """
    last = max((one.ended_at for one in counted(attempts, now)), default=None)
    moment = last + timedelta(hours=cool_down_hours) if last else None
    return moment if moment and moment > now else None


def permission(
    attempts: Sequence[Tried], talks: Sequence[datetime], failures: int, cool_down_hours: float, now: datetime
) -> Permission:
    """Return whether an attempt may start now, and if not, what stands in the way."""
    return Permission(
        next((one for one in attempts if one.is_open(now)), None),
        hold(attempts, talks, failures, now),
        free_from(attempts, cool_down_hours, now),
    )
