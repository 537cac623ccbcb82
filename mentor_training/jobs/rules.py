"""When a job is taken, taken up again or given up, and who sees it; pure. Rules of this program.

Moments here are the machine's clock, not the program's: a lease is about processes that live or die now.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

WAITING, RUNNING = "waiting", "running"
DONE, REFUSED, FAILED, STOPPED = "done", "refused", "failed", "stopped"
OPEN = (WAITING, RUNNING)
STATES = (*OPEN, DONE, REFUSED, FAILED, STOPPED)

# A worker says every BEAT that it lives, and may be silent for a LEASE before another takes its job up.
BEAT = timedelta(seconds=1)
LEASE = timedelta(seconds=30)
# After a fault of the program the job rests, so that what was in its way may pass.
REST = timedelta(seconds=5)
MOST_ATTEMPTS = 3
# An ended job, with its result, is kept so long.
KEPT = timedelta(days=14)


class Step(StrEnum):
    """What a worker that looks at a job does with it."""

    LEAVE = "leave"
    TAKE = "take"
    END_STOPPED = "end as stopped"
    GIVE_UP = "give up"


@dataclass(frozen=True)
class Standing:
    """How a job stands: its state, how often it was begun, until when its worker has it, whether it is to stop."""

    state: str
    attempts: int = 0
    lease_until: datetime | None = None
    stop_wished: bool = False


def lease_is_over(job: Standing, at: datetime) -> bool:
    """Say whether nobody may be at a running job any more; the lease's last moment still counts."""
    return job.state == RUNNING and (job.lease_until is None or job.lease_until < at)


def next_step(job: Standing, at: datetime) -> Step:
    """Return what a worker that has come to a job does with it.

    A job that was begun MOST_ATTEMPTS times and never ended is given up; one that somebody wishes to stop is not begun.
    """
    if job.state != WAITING and not lease_is_over(job, at):
        return Step.LEAVE
    if job.stop_wished:
        return Step.END_STOPPED
    return Step.TAKE if job.attempts < MOST_ATTEMPTS else Step.GIVE_UP


def given_up(attempts: int) -> str:
    """Say in words why a job is given up."""
    return (
        f"It was begun {attempts} times and never came to an end: its worker was ended, or the program failed in it. "
        "Ask for it again; where it fails again, whoever keeps the server finds the reason in what it printed."
    )


def may_be_seen(asked_by: str, who: str, sees_all: bool) -> bool:
    """Say whether somebody sees a job: who asked for it, and who sees all."""
    return sees_all or asked_by == who


def looks_again_after(seconds: int) -> int:
    """Return after how many seconds a page about an open job looks again: soon while it may be a short one."""
    return 1 if seconds < 10 else 3


def is_cleared_before(at: datetime) -> datetime:
    """Return the moment before which a job must have ended to be cleared at another."""
    return at - KEPT


def seconds_between(begun: datetime | None, until: datetime) -> int:
    """Return the whole seconds since something was begun; 0 where it was not, or clocks disagree."""
    return max(0, int((until - begun).total_seconds())) if begun else 0
