"""A process of its own that stores a series: `python -m tests.storage.series_maker FOLDER`; says how it went."""

from __future__ import annotations

import sys
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

from mentor_training.calendar.actions import store_series
from mentor_training.calendar.recurrence import Repeat
from mentor_training.calendar.series import Naming, series_of
from mentor_training.clock import FixedClock
from mentor_training.database.instance import Instance, open_instance
from mentor_training.errors import Refused
from tests.builders import NOON
from tests.planning.saturday import COORDINATES, session

REPEAT = Repeat(date(2026, 10, 24), (5,), count=20)
# The people of the pattern stay out: this is about codes.
PATTERN = replace(session(), participants=(), volunteers=(), observers=())
SERIES = series_of(PATTERN, REPEAT, Naming("s-12", "Week #", 7), ())


def put(instance: Instance) -> str:
    """Store the series in one transaction, and say how it went."""
    try:
        with instance.database.writing() as db:
            store_series(db, instance.now(), COORDINATES, SERIES, REPEAT)
    except Refused as no:
        return f"refused {len(no.reasons)}: {no.reasons[0]}"
    return "stored"


if __name__ == "__main__":
    opened = open_instance(Path(sys.argv[1]), FixedClock(NOON + timedelta(hours=1)))
    print("open", flush=True)  # noqa: T201
    sys.stdin.readline()
    print(put(opened), flush=True)  # noqa: T201
    opened.database.close()
