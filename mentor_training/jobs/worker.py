"""A worker: takes jobs one after the other, keeps each alive while it is done, stores what came of it."""

from __future__ import annotations

import logging
import os
import secrets
import socket
from contextlib import suppress
from datetime import timedelta
from threading import Event, Thread
from typing import Any, Self

from sqlalchemy.exc import SQLAlchemyError

from mentor_training.clock import Clock, SystemClock
from mentor_training.database.instance import Instance
from mentor_training.errors import Refused
from mentor_training.jobs import actions
from mentor_training.jobs.actions import Lost
from mentor_training.jobs.queries import anything_due
from mentor_training.jobs.rules import BEAT, DONE, REFUSED, REST
from mentor_training.jobs.work import Kinds, Work

LOG = logging.getLogger(__name__)

# How long an idle worker waits before it looks again.
LOOK_EVERY = timedelta(seconds=0.5)
CLEAR_EVERY = timedelta(hours=1)
# How long a worker that is told to end waits for what it is doing, which has been handed back by then.
GRACE = timedelta(seconds=2)


class Worker:
    """One worker of an instance. `clock` is the machine's: a lease has nothing to do with the program's own clock."""

    def __init__(self, instance: Instance, kinds: Kinds, clock: Clock | None = None, beat: timedelta = BEAT) -> None:
        self.instance, self.kinds = instance, kinds
        self.clock, self.beat = clock or SystemClock(), beat
        self.name = f"{socket.gethostname()[:40]}:{os.getpid()}:{secrets.token_hex(4)}"
        self.ending = Event()
        self.now_doing: Work | None = None
        self._thread: Thread | None = None

    def start(self) -> None:
        """Work in a thread of its own until `stop`: the solver lets go of the interpreter's lock while it searches."""
        # A daemon, so that a search that nothing can break off does not keep the process from ending.
        self._thread = Thread(target=self.run, name="worker", daemon=True)
        self._thread.start()

    def stop(self) -> None:
        """Take no more, hand back what is being done, and wait a little for it to notice."""
        self.ending.set()
        self._let_go()
        if self._thread:
            self._thread.join(GRACE.total_seconds())

    def _let_go(self) -> None:
        work = self.now_doing
        if work:
            work.lost.set()
            with self.instance.database.writing() as db:
                actions.hand_back(db, work.taken.ticket)

    def run(self) -> None:
        """Take jobs one after the other until told to end; the database failing is waited out."""
        cleared = None
        while not self.ending.is_set():
            try:
                if cleared is None or self.clock.now() - cleared > CLEAR_EVERY:
                    cleared = self.clock.now()
                    self._clear()
                busy = self.run_one()
            except SQLAlchemyError:
                LOG.exception("the queue cannot be reached; the worker looks again")
                busy = False
            if not busy:
                self.ending.wait(LOOK_EVERY.total_seconds())

    def run_one(self) -> bool:
        """Do one job, if there is one; return whether there was."""
        at = self.clock.now()
        with self.instance.database.reading() as db:
            if not anything_due(db, at, list(self.kinds)):
                return False
        with self.instance.database.writing() as db:
            taken = actions.take(db, self.clock.now(), self.name, list(self.kinds))
        if taken is None:
            return False
        work = self.now_doing = Work(self.instance, taken)
        if self.ending.is_set():  # told so while it was being taken
            self._let_go()
        try:
            with suppress(Lost):  # whoever has it now ends it
                self._do(work)
        finally:
            self.now_doing = None
        return True

    def _do(self, work: Work) -> None:
        """Do a job, and store its result, the reasons why not, or that it is to be taken up again."""
        with Pulse(self, work):
            ended = self._asked(work)
        with work.storing() as db:
            if ended is None:
                actions.rest(db, self.clock.now(), work.taken.ticket, REST)
            else:
                actions.end(db, self.clock.now(), work.taken.ticket, *ended, work.words)

    def _asked(self, work: Work) -> tuple[str, Any] | None:
        """Have the handler do it; None where the program failed."""
        try:
            return DONE, self.kinds[work.taken.kind].handler(work)
        except Refused as no:
            return REFUSED, list(no.reasons)
        except Lost:
            raise
        except Exception:
            LOG.exception("job %d failed at attempt %d", work.taken.ticket.number, work.taken.ticket.attempt)
            return None

    def _clear(self) -> None:
        with self.instance.database.writing() as db:
            actions.clear_old(db, self.clock.now())


class Pulse:
    """Says every beat that a job's worker lives and how far it is, and hears whether it is to stop."""

    def __init__(self, worker: Worker, work: Work) -> None:
        self.worker, self.work = worker, work
        self._over = Event()
        self._thread = Thread(target=self._beat_on, name="pulse", daemon=True)

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._over.set()
        self._thread.join()

    def _beat_on(self) -> None:
        while not self._over.wait(self.worker.beat.total_seconds()) and not self.work.lost.is_set():
            try:
                self.once()
            except Lost:
                self.work.lost.set()
            except SQLAlchemyError:
                LOG.exception("a beat of job %d was not stored", self.work.taken.ticket.number)

    def once(self) -> None:
        """Beat once."""
        done, total = self.work.counted()
        with self.worker.instance.database.writing() as db:
            at = self.worker.clock.now()
            wished = actions.beat(db, at, self.work.taken.ticket, done, total, self.work.words)
        if wished:
            self.work.stop_wished.set()
