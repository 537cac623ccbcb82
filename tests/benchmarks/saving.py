"""Saving an observation, against a bare insert of the same rows in one transaction with the same durability.

The act is whole: the rules with all they read, the evidence, the observation with its eight marks, and two journal
entries with their hashes. The rows that it stored are then inserted by bare sqlite3 into a copy of the same database
(its triggers and indices, WAL, synchronous FULL, BEGIN IMMEDIATE), ready-made, so that the reference reads and computes
nothing. Both are measured in turn by the clock and in the processor's time, the median of each; at the end both
databases hold the same rows. By the clock the ratio hangs on what the disk takes to make a commit durable, the same for
both; in the processor's time it does not. Run it with `python -m tests.benchmarks.saving`.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter, process_time

from mentor_training.observing.actions.observe import observe
from mentor_training.people.permissions import Actor
from mentor_training.people.queries import actor_of, person_for
from tests.benchmarks.data import Size
from tests.benchmarks.measure import Result, run
from tests.browser.phone import CRITERIA, fill_floor
from tests.builders import FRIDAY, World, make_world
from tests.observing.floor import look

BOUND = 3.0
WARMING, ROUNDS = 20, 200
# In the order in which the act stores them; by which column the new ones are found.
TABLES = {"record": "number", "journal_entry": "number", "observation": "id", "mark": "observation"}

Rows = list[tuple[str, tuple[object, ...]]]
Times = tuple[float, float]


def measured(size: Size) -> Iterator[Result]:
    """Yield what is measured; at a small size a tenth as often."""
    rounds = ROUNDS if size == Size() else ROUNDS // 10
    with TemporaryDirectory() as folder:
        world = make_world(Path(folder) / "instance")
        fill_floor(world)
        path = Path(world.instance.database.url.removeprefix("sqlite:///"))
        copy = Path(folder) / "copy.db"
        with closing(sqlite3.connect(path)) as source, closing(sqlite3.connect(copy)) as target:
            source.backup(target)
        ours, bare = in_turn(world, path, copy, rounds)
        world.instance.database.close()
    processor = f"in the processor's time {ours[1] / bare[1]:.2f} x ({ours[1] * 1e3:.2f} ms)"
    yield Result("saving an observation", ours[0], "bare sqlite3, same rows", bare[0], BOUND, processor)


def in_turn(world: World, path: Path, copy: Path, rounds: int) -> tuple[Times, Times]:
    """Save and insert in turn, and return the median times of both, by the clock and of the processor."""
    with world.reading() as db:
        by = actor_of(person_for(db, "o-01"))
    ours, bare = [], []
    with closing(bare_connection(path)) as reader, closing(bare_connection(copy)) as target:
        for number in range(WARMING + rounds):
            seen = newest(reader)
            ours.append(timed(lambda number=number: save(world, by, number)))  # type: ignore[misc]
            rows = rows_after(reader, seen)
            bare.append(timed(lambda rows=rows: insert(target, rows)))  # type: ignore[misc]
        if any(everything(reader, table) != everything(target, table) for table in TABLES):
            raise AssertionError("the bare inserts stored other rows")
    return middle(ours[WARMING:]), middle(bare[WARMING:])


def save(world: World, by: Actor, number: int) -> None:
    """Save an observation as a page does, in a session of its own that commits."""
    seen = look("v-001", " ".join(["done"] * CRITERIA), key=f"k-{number}", station="balance-lane",
                participant="p-01", remark="Calm and clear throughout.")  # fmt: skip
    with world.writing() as db:
        observe(db, world.clock.now(), FRIDAY, by, seen)


def bare_connection(path: Path) -> sqlite3.Connection:
    """Open a database as the program does, and with nothing of it."""
    connection = sqlite3.connect(path, isolation_level=None)
    for pragma in ("foreign_keys=ON", "recursive_triggers=ON", "journal_mode=WAL", "synchronous=FULL"):
        connection.execute(f"PRAGMA {pragma}").close()
    return connection


def insert(connection: sqlite3.Connection, rows: Rows) -> None:
    """Insert ready-made rows in one transaction."""
    connection.execute("BEGIN IMMEDIATE")
    for statement, values in rows:
        connection.execute(statement, values)
    connection.execute("COMMIT")


def newest(connection: sqlite3.Connection) -> dict[str, int]:
    """Return the highest number in each table."""
    return {
        table: connection.execute(f"SELECT coalesce(max({column}), 0) FROM {table}").fetchone()[0]  # noqa: S608
        for table, column in TABLES.items()
    }


def rows_after(connection: sqlite3.Connection, seen: dict[str, int]) -> Rows:
    """Return the rows that came after, each with the statement that inserts it."""
    found: Rows = []
    for table, column in TABLES.items():
        query = f"SELECT * FROM {table} WHERE {column} > ? ORDER BY rowid"  # noqa: S608
        for row in connection.execute(query, (seen[table],)):
            found.append((f"INSERT INTO {table} VALUES ({', '.join('?' * len(row))})", row))  # noqa: S608
    return found


def everything(connection: sqlite3.Connection, table: str) -> list[tuple[object, ...]]:
    """Return all rows of a table."""
    return connection.execute(f"SELECT * FROM {table}").fetchall()  # noqa: S608


def timed(act: Callable[[], object]) -> Times:
    """Return how long an act takes by the clock, and of the processor's time."""
    clock, processor = perf_counter(), process_time()
    act()
    return perf_counter() - clock, process_time() - processor


def middle(times: list[Times]) -> Times:
    """Return the medians."""
    return median(clock for clock, _ in times), median(processor for _, processor in times)


if __name__ == "__main__":
    run(measured)
