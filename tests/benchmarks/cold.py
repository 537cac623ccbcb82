"""From the database to the matrix, cold, against reading the same rows with bare sqlite3 into arrays.

Cold is a process that knows nothing yet: the program's files are parsed and everybody's records read and made tracks.
Run it with `python -m tests.benchmarks.cold`.
"""

from __future__ import annotations

import gc
import sqlite3
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from mentor_training.clearance.matrix import Column
from mentor_training.clearance.queries import gate_at, volunteers_known
from mentor_training.database.session import Database
from mentor_training.program import queries as program_queries
from tests.benchmarks.data import DAY, NOW, Size, make_database
from tests.benchmarks.measure import Result, best, once, run

BOUND = 2.0
ROWS = "SELECT person, kind, item, first_day, last_day, note FROM record WHERE recorded_at <= ?"
PEOPLE = "SELECT code, roles, recorded_at, from_start FROM person"


def measured(size: Size) -> Iterator[Result]:
    """Yield what is measured."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "large.db"
        made, seconds = once(lambda: make_database(path, size))
        made.close()
        yield Result("a database made for it", seconds, note=f"{path.stat().st_size / 1e6:.0f} MB")
        gc.collect()
        lists = best(lambda: as_lists(path))
        arrays = best(lambda: as_arrays(path))
        ours = best(lambda: matrix(path))
        note = f"{size.volunteers * 60:,} rows; into plain lists {ours / lists:.2f} x"
        yield Result("(c) from the database to the matrix, cold", ours, "sqlite3 to numpy", arrays, BOUND, note)
        yield Result("    bare sqlite3, the same rows into lists", lists)


def matrix(path: Path) -> list[Column]:
    """Answer for everybody at every station, in a process that knows nothing."""
    program_queries._PROGRAMS.clear()
    database = Database(f"sqlite:///{path}")
    try:
        with database.reading() as db:
            gate = gate_at(db, NOW)
            everyone = gate.matrix(volunteers_known(db, NOW))
            return [everyone.column(station, None, DAY) for station in gate.edition(DAY).program.stations]
    finally:
        database.close()


def as_lists(path: Path) -> list[tuple[object, ...]]:
    """Read the same rows, column by column, and nothing else."""
    connection = sqlite3.connect(path)
    try:
        people = connection.execute(PEOPLE).fetchall()
        rows = connection.execute(ROWS, ("2026-10-16 16:00:00.000000",)).fetchall()
        return [*zip(*rows, strict=True), *zip(*people, strict=True)]
    finally:
        connection.close()


def as_arrays(path: Path) -> list[object]:
    """Read the same rows into arrays."""
    return [np.array(column) for column in as_lists(path)]


if __name__ == "__main__":
    run(measured)
