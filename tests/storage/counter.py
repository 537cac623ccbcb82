"""A process of its own that works: `python -m tests.storage.counter FOLDER [--hang]`.

It does jobs of the kind `count` until none is left: each of the numbers up to `up_to` is stored once, whoever stores
it, in a transaction of its own. With --hang it stops after the second number of a job, says `begun`, and waits for
whoever will kill it.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path
from typing import Any

from sqlalchemy import select

from mentor_training.clock import FixedClock
from mentor_training.database.instance import open_instance
from mentor_training.jobs.work import Handler, Work
from mentor_training.jobs.worker import Worker
from mentor_training.people.tables import SignInTry
from tests.builders import NOON
from tests.jobs.working import kind

HANG_AFTER = 2


def counting(name: str, hang: bool) -> Handler:
    """Return the handler; what it stores carries the job, the number, and who stored it."""

    def count(work: Work) -> Any:
        for number in range(1, work.arguments["up_to"] + 1):
            what = f"{work.taken.ticket.number}/{number}"
            with work.storing() as db:
                if not db.scalar(select(SignInTry).where(SignInTry.email == what)):
                    db.add(SignInTry(email=what, client=name, moment=NOON, succeeded=True))
            work.progress(number, work.arguments["up_to"])
            if hang and number == HANG_AFTER:
                print("begun", flush=True)  # noqa: T201
                time.sleep(600)
        return name

    return count


if __name__ == "__main__":
    opened = open_instance(Path(sys.argv[1]), FixedClock(NOON))
    worker = Worker(opened, {})
    worker.kinds = kind(counting(worker.name, "--hang" in sys.argv))
    print("open", flush=True)  # noqa: T201
    sys.stdin.readline()
    while worker.run_one():
        pass
    print("over", flush=True)  # noqa: T201
    opened.database.close()
