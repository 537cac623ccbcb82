"""A process of its own that plans: `python -m tests.storage.planner FOLDER MENTOR STATION PARTICIPANT [--hold]`.

It says `stored`, or `refused` with the reasons. With --hold it stops between placing and committing, says so, and goes
on when it is told to.
"""

from __future__ import annotations

import sys
from datetime import timedelta
from pathlib import Path

from mentor_training.clock import FixedClock
from mentor_training.database.instance import Instance, open_instance
from mentor_training.errors import Refused
from mentor_training.planning.actions.placing import place
from tests.builders import NOON
from tests.planning.saturday import COORDINATES


def say(line: str) -> None:
    """Write a line for the process that waits for it."""
    print(line, flush=True)  # noqa: T201


def put(instance: Instance, mentor: str, station: str, participant: str, hold: bool) -> str:
    """Place a mentor in block 1, in one transaction, and say how it went."""
    try:
        with instance.database.writing() as db:
            place(db, instance.now(), COORDINATES, "s-11", 1, station, mentor, participant)
            if hold:
                say("held")
                sys.stdin.readline()
    except Refused as no:
        return "refused " + " ".join(no.reasons)
    return "stored"


if __name__ == "__main__":
    opened = open_instance(Path(sys.argv[1]), FixedClock(NOON + timedelta(hours=1)))
    say("open")
    sys.stdin.readline()
    say(put(opened, sys.argv[2], sys.argv[3], sys.argv[4], "--hold" in sys.argv))
    opened.database.close()
