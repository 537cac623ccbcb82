"""A process of its own that issues certificates to a class: `python -m tests.storage.certifier FOLDER`.

It says `begun` once the second is stored, and waits for whoever will kill it.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

from mentor_training.application import KINDS
from mentor_training.clock import FixedClock
from mentor_training.database.instance import open_instance
from mentor_training.jobs.work import Work
from mentor_training.jobs.worker import Worker
from tests.builders import NOON

HANG_AFTER = 2


def progress(work: Work, done: int, total: int) -> None:
    """Count as work does, and hang after the second."""
    work.done, work.total = done, total
    if done == HANG_AFTER:
        print("begun", flush=True)  # noqa: T201
        time.sleep(600)


if __name__ == "__main__":
    Work.progress = progress  # type: ignore[method-assign,assignment]
    Worker(open_instance(Path(sys.argv[1]), FixedClock(NOON)), KINDS).run_one()
