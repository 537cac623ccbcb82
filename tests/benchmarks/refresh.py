"""What one new record costs the next question about everybody, against reading everything anew.

Run it with `python -m tests.benchmarks.refresh`.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

from mentor_training.clearance.queries import gate_at, volunteers_known
from mentor_training.evidence.actions import record
from tests.benchmarks.board import make_instance
from tests.benchmarks.data import DAY, Size
from tests.benchmarks.measure import Result, best, once, run
from tests.builders import World

BOUND = 0.1  # ours, not a measured figure: far from the whole


def measured(size: Size) -> Iterator[Result]:
    """Yield what one new record costs the next question about everybody, against asking all anew."""
    with TemporaryDirectory() as folder:
        world = make_instance(Path(folder), size)
        _, cold = once(lambda: ask(world))
        warm = best(lambda: ask(world), 3)
        refreshed = []
        for number in range(5):
            world.clock.forward(minutes=1)
            with world.writing() as db:
                record(
                    db, world.clock.now(), "console", f"v-{number:05d}", "stood-down", "", DAY, note="Asked to pause."
                )
            refreshed.append(once(lambda: ask(world))[1])
        note = f"{size.volunteers:,} volunteers; with nothing new {warm * 1e3:.1f} ms"
        yield Result(
            "(g) everybody asked again after one new record", min(refreshed), "all read anew", cold, BOUND, note
        )
        world.instance.database.close()


def ask(world: World) -> object:
    """Ask how many have which level at each station, as a page does in a session of its own."""
    with world.reading() as db:
        gate = gate_at(db, world.clock.now())
        matrix = gate.matrix(volunteers_known(db, world.clock.now()))
        return [matrix.column(station, None, DAY).counts() for station in gate.edition(DAY).program.stations]


if __name__ == "__main__":
    run(measured)
