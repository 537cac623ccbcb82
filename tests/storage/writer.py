"""A process of its own that writes records: `python -m tests.storage.writer FOLDER PERSON COUNT [--hold]`.

Each record is a transaction with its journal entry. With --hold it stops in the middle of the one after the last,
says so, and waits to be killed.
"""

from __future__ import annotations

import sys
import time
from datetime import date
from pathlib import Path

from mentor_training.database.instance import open_instance
from mentor_training.evidence.actions import record


def write(folder: Path, person: str, count: int, hold: bool) -> None:
    """Write so many records, each in a transaction of its own."""
    instance = open_instance(folder)
    print("open", flush=True)  # noqa: T201 - the process that waits for it reads this
    sys.stdin.readline()
    for number in range(count):
        with instance.database.writing() as db:
            record(db, instance.now(), "console", person, "hours", "direct", date(2026, 9, 1), note=str(number))
    if hold:
        with instance.database.open_writer() as db:
            record(db, instance.now(), "console", person, "hours", "direct", date(2026, 9, 1), note="77")
            print("held", flush=True)  # noqa: T201
            time.sleep(600)
    instance.database.close()


if __name__ == "__main__":
    write(Path(sys.argv[1]), sys.argv[2], int(sys.argv[3]), "--hold" in sys.argv)
