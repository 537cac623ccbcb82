"""A process of its own that does the jobs that wait: `python -m tests.storage.note_sender FOLDER`."""

from __future__ import annotations

import sys
from pathlib import Path

from mentor_training.application import KINDS
from mentor_training.clock import FixedClock
from mentor_training.database.instance import open_instance
from mentor_training.jobs.worker import Worker
from tests.builders import NOON

if __name__ == "__main__":
    Worker(open_instance(Path(sys.argv[1]), FixedClock(NOON)), KINDS).run_one()
