"""A process that dies in the middle of an act about a scan: FOLDER MOMENT and `keep` or `sweep`."""

from __future__ import annotations

import os
import sys
from datetime import datetime
from pathlib import Path

from mentor_training.clock import FixedClock
from mentor_training.database.instance import open_instance
from mentor_training.papers.actions.scans import add_scan, sweep
from mentor_training.papers.scans.folder import folder_of
from mentor_training.people.permissions import CONSOLE
from tests.papers.desk import PLAIN, ZONE

DIED = 9


def main() -> None:
    """Do everything but commit, as a machine does whose power goes."""
    where, moment, what = sys.argv[1:]
    instance = open_instance(Path(where), FixedClock(datetime.fromisoformat(moment)))
    scans, db = folder_of(instance.settings), instance.database.open_writer()
    if what == "keep":
        add_scan(db, instance.now(), ZONE, CONSOLE, 1, scans, PLAIN)
    else:
        sweep(db, instance.now(), ZONE, CONSOLE, scans)
    os._exit(DIED)


if __name__ == "__main__":
    main()
