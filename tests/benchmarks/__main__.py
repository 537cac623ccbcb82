"""`python -m tests.benchmarks`: clearance, saving, plans, repairs and the floor at full size, one result on a line.

It takes about ten minutes; with --small it only shows that they work.
"""

from __future__ import annotations

from collections.abc import Iterator

from tests.benchmarks import board, cold, floor_page, growth, matrix, pairs, peers, plans, refresh, repairs, saving
from tests.benchmarks.data import Size
from tests.benchmarks.measure import Result, run

ALL = (matrix, pairs, peers, board, growth, refresh, cold, saving, floor_page, plans, repairs)


def measured(size: Size) -> Iterator[Result]:
    """Yield what each of them measures."""
    for one in ALL:
        yield from one.measured(size)


if __name__ == "__main__":
    run(measured)
