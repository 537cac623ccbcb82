"""A process of its own that stands somebody down: `python -m tests.storage.pauser FOLDER PERSON`."""

from __future__ import annotations

import sys
from pathlib import Path

from mentor_training.clearance.actions import pause
from mentor_training.clock import FixedClock
from mentor_training.database.instance import open_instance
from mentor_training.people.permissions import COORDINATOR, Actor
from tests.builders import FRIDAY, NOON

if __name__ == "__main__":
    instance = open_instance(Path(sys.argv[1]), FixedClock(NOON))
    with instance.database.writing() as db:
        by = Actor("c-01", "Coordinator", frozenset((COORDINATOR,)), ())
        pause(db, instance.now(), by, sys.argv[2], "stood-down", "", FRIDAY, None, "Asked to pause.")
    instance.database.close()
