"""All volunteers by all stations on one day, from evidence in memory, against a bare numpy reference.

The reference only combines ready-made boolean columns; ours looks them up among the days first. Run it with
`python -m tests.benchmarks.matrix`.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

import numpy as np

from mentor_training.clearance.everybody import Everybody
from mentor_training.clearance.lasting import Lasting
from mentor_training.clearance.matrix import Column, Day, Matrix
from tests.benchmarks.data import DAY, Size, records
from tests.benchmarks.in_memory import Evidence, Ready, boolean
from tests.benchmarks.measure import Result, best, once, run

BOUND = 3.0
SERIES = [DAY + timedelta(days=day) for day in range(90)]


def measured(size: Size) -> Iterator[Result]:
    """Yield what is measured."""
    evidence = Evidence.of(size, records(size))
    everybody, binding = once(evidence.read)
    _, tracks = once(lambda: columns(everybody))
    rows = f"{len(evidence.rows):,} rows"
    yield Result("state: records in memory bound together by what they say", binding, note=rows)
    yield Result("state: tracks of all that the stations ask for", tracks)
    ready, cells = Ready.of(everybody), f"{size.volunteers:,} x {size.stations}"
    check(columns(everybody), ready)
    reference = best(ready.stations, 9, 5)
    ours = best(lambda: columns(everybody), 9, 5)
    yield Result("(a) levels of everybody at every station on one day", ours, "numpy", reference, BOUND, cells)
    digits = best(lambda: [one.levels() for one in columns(everybody)], 5, 3)
    added = best(lambda: as_levels(ready), 5, 3)
    yield Result("    the same, written out as a digit for each cell", digits, "numpy uint8", added)
    series = best(lambda: [columns(everybody, day) for day in SERIES], 3)
    yield Result("    a series of ninety days", series, "numpy, 90 times", reference * len(SERIES), BOUND)
    last_days = best(lambda: all_last_days(everybody, ready), 3)
    asked = f"{len(last_days_of(everybody, ready)) * everybody.size:,} answers"
    yield Result("    the last day of each level, for the whole matrix", last_days, note=asked)


def columns(everybody: Everybody, on: date = DAY) -> list[Column]:
    """Return the matrix of a day, with nothing kept from a day asked before."""
    day = Day(everybody, on)
    return [day.column(station) for station in day.program.stations]


def as_levels(ready: Ready) -> dict[str, object]:
    """Return the reference's levels as numbers."""
    return {slug: np.add.reduce(reached, dtype=np.uint8) for slug, reached in ready.stations().items()}


def last_days_of(everybody: Everybody, ready: Ready) -> list[object]:
    lasting = Lasting(Matrix(everybody), DAY)
    return [lasting.last_days(station) for station in ready.program.stations]


def all_last_days(everybody: Everybody, ready: Ready) -> int:
    return len(last_days_of(everybody, ready))


def check(found: list[Column], ready: Ready) -> None:
    """See that both say the same: a reference that answers something else measures nothing."""
    reference = ready.stations()
    for column in found:
        for bits, expected in zip(column.reached, reference[column.station], strict=True):
            if not np.array_equal(boolean(bits, column.size), expected):
                raise AssertionError(f"the reference differs at {column.station}")


if __name__ == "__main__":
    run(measured)
