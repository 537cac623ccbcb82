"""Workers for tests: one that does here and now what was asked for in the background, and one that counts."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from mentor_training.application import KINDS
from mentor_training.clock import FixedClock
from mentor_training.jobs.actions import enqueue
from mentor_training.jobs.queries import job_for
from mentor_training.jobs.tables import Job
from mentor_training.jobs.work import Handler, Kind, Kinds
from mentor_training.jobs.worker import Worker
from tests.builders import World

# The machine's clock in tests of leases; the program's own is the world's.
EIGHT = datetime(2026, 10, 16, 8, 0, tzinfo=UTC)


def work_off(world: World, kinds: Kinds = KINDS) -> int:
    """Do all that waits, here and now; return how many jobs were done."""
    worker, many = Worker(world.instance, kinds), 0
    while worker.run_one():
        many += 1
    return many


def kind(handler: Handler) -> Kinds:
    """Return what the application would hand in, had it this one kind: `count`."""
    return {"count": Kind(handler, lambda _: "Counting", lambda *_: ("jobs.listing", {}))}


def returns(value: Any) -> Handler:
    """Return a handler that does nothing and returns a value."""
    return lambda _: value


def worker(world: World, handler: Handler, clock: FixedClock | None = None) -> Worker:
    """Return a worker that knows one kind of job, by a clock of the machine that stands."""
    return Worker(world.instance, kind(handler), clock or FixedClock(EIGHT))


def ask(world: World, key: str = "count/all", **arguments: Any) -> int:
    """Ask for a job of that kind; return its number."""
    with world.writing() as db:
        return enqueue(db, world.clock.now(), "c-01", "count", arguments, key).number


def seen(world: World, number: int) -> Job:
    """Return a job as it is stored."""
    with world.reading() as db:
        return job_for(db, number, "c-01", sees_all=True)
