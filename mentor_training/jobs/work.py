"""What a handler is handed: what to do, how to say how far it is, and a door to store by that shuts once it is lost.

A handler may be begun again from the start after its worker was killed. So what it stores it stores by acts that, done
again, store nothing twice, each in a `storing()` of its own: two workers can then never both store for one job.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from threading import Event
from time import monotonic
from typing import Any

from sqlalchemy.orm import Session

from mentor_training.database.instance import Instance
from mentor_training.jobs.actions import Lost, Taken, hold

# Of the steps that were said, so many are kept: the newest.
MOST_STEPS = 40


@dataclass
class Work:
    """A job that is being done; told by its handler how far it is, and asked by its pulse."""

    instance: Instance
    taken: Taken
    done: int = 0
    total: int = 0
    lost: Event = field(default_factory=Event)
    stop_wished: Event = field(default_factory=Event)
    _steps: list[str] = field(default_factory=list)
    _began: float = field(default_factory=monotonic)
    _at_most: float = 0.0

    @property
    def arguments(self) -> Mapping[str, Any]:
        """Return what was asked for, in codes and figures."""
        return self.taken.arguments

    @property
    def seconds(self) -> float:
        """Return the seconds since it was begun."""
        return monotonic() - self._began

    @property
    def words(self) -> str:
        """Return the steps that were said, a line each, the newest last."""
        return "\n".join(self._steps)

    def step(self, words: str) -> None:
        """Say what is being done now, in words without names."""
        self._steps = [*self._steps[1 - MOST_STEPS :], f"{int(self.seconds)} s: {words}"]

    def progress(self, done: int, total: int) -> None:
        """Say how many of how many are done."""
        self.done, self.total = done, total

    def takes_at_most(self, seconds: float) -> None:
        """Have the time itself be the progress, for work that has so many seconds."""
        self._at_most = seconds

    def counted(self) -> tuple[int, int]:
        """Return how many of how many are done, or seconds of seconds."""
        if self._at_most:
            return int(min(self.seconds, self._at_most)), max(1, round(self._at_most))
        return self.done, self.total

    def stopped(self) -> bool:
        """Say whether to come to an end: somebody wishes it, or the job is no longer this worker's."""
        return self.stop_wished.is_set() or self.lost.is_set()

    @contextmanager
    def storing(self, first: Callable[[Session], None] | None = None) -> Iterator[Session]:
        """Give a session for acts that commits once at the end; refused where the job is no longer this worker's.

        `first` takes what the acts wait for and pages hold before they touch a job, such as the journal's turn.
        """
        if self.lost.is_set():
            raise Lost(self.taken.ticket)
        with self.instance.database.writing() as db:
            if first:
                first(db)
            hold(db, self.taken.ticket)
            yield db


Handler = Callable[[Work], Any]
# What is done, as a heading, from the arguments; and the endpoint, with its values, where a job's outcome is seen.
Titled = Callable[[Mapping[str, Any]], str]
LeadsTo = Callable[[int, Mapping[str, Any]], tuple[str, dict[str, Any]]]


@dataclass(frozen=True)
class Kind:
    """What the application hands in of one kind of job: who does it, what it is called, where its outcome is seen.

    `counted` says how far it is, with {done} and {total} in it; `kept` what stays of one that is stopped on the way.
    """

    handler: Handler
    titled: Titled
    leads_to: LeadsTo
    counted: str = "{done} of {total}"
    kept: str = "what is done"


Kinds = Mapping[str, Kind]
