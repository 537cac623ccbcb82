"""Twice the volunteers costs at most 2.2 times the time: from 1,250 to 10,000, for the matrix and for what it rests on.

Run it with `python -m tests.benchmarks.growth`.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator
from dataclasses import replace

from tests.benchmarks.data import Size, participants, records
from tests.benchmarks.in_memory import Evidence
from tests.benchmarks.matrix import columns
from tests.benchmarks.measure import Result, best, run
from tests.benchmarks.pairs import tiles, walk

BOUND = 2.2
DOUBLED = 3


def measured(size: Size) -> Iterator[Result]:
    """Yield each doubling, with the half of it as the reference."""
    before: dict[str, float] = {}
    for doubled in range(DOUBLED, -1, -1):
        one = replace(size, volunteers=size.volunteers >> doubled)
        times = times_for(one)
        for what, seconds in times.items():
            if before:
                half = f"{one.volunteers // 2:,} volunteers"
                yield Result(f"(e) {what}, {one.volunteers:,} volunteers", seconds, half, before[what], BOUND)
        before = times


def times_for(size: Size) -> dict[str, float]:
    """Return what each part takes for so many volunteers."""
    evidence, whom = Evidence.of(size, records(size)), participants(size)[:500]
    gc.collect()
    everybody = evidence.read()
    columns(everybody)
    station = next(iter(everybody.editions[0].program.stations))
    return {
        "from evidence in memory to the matrix": best(lambda: columns(evidence.read()), 3),
        "the matrix of a day": best(lambda: columns(everybody), 25, 20),
        "pairs with participants, by tiles": best(lambda: walk(tiles(everybody, whom, station)), 15, 3),
    }


if __name__ == "__main__":
    run(measured)
