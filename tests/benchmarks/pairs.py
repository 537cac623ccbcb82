"""All volunteers by all participants at one station, by tiles, against a bare numpy reference.

Run it with `python -m tests.benchmarks.pairs`.
"""

from __future__ import annotations

import tracemalloc
from collections.abc import Iterator

import numpy as np

from mentor_training.clearance.dossier import ParticipantFile
from mentor_training.clearance.everybody import Everybody
from mentor_training.clearance.matrix import Column, Matrix
from mentor_training.clearance.rules import applicable_needs
from tests.benchmarks.data import DAY, Size, participants, records
from tests.benchmarks.in_memory import Columns, Evidence, Ready, boolean, cards
from tests.benchmarks.measure import Result, best, run

BOUND = 3.0


def measured(size: Size) -> Iterator[Result]:
    """Yield what is measured."""
    everybody, whom = Evidence.of(size, records(size)).read(), participants(size)
    station = next(iter(Matrix(everybody).on(DAY).program.stations))
    reference = Reference(everybody, whom, station)
    check(tiles(everybody, whom, station), reference)
    ours = best(lambda: walk(tiles(everybody, whom, station)), 5)
    bare = best(lambda: walk(reference.rows()), 3)
    note = f"{size.volunteers:,} x {size.participants:,} at {station}"
    yield Result("(b) everybody with every participant at one station", ours, "numpy", bare, BOUND, note)
    tracemalloc.start()
    walk(tiles(everybody, whom, station))
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    cube = size.volunteers * size.participants
    yield Result(
        "    held at a time, of that", 0.0, note=f"{peak / 1e6:.1f} MB; the whole would be {cube / 1e6:.0f} MB"
    )


def tiles(everybody: Everybody, whom: list[ParticipantFile], station: str) -> Iterator[Column]:
    """Yield the columns, tile by tile, with nothing kept from before."""
    for tile in Matrix(everybody).tiles([station], whom, DAY):
        yield from tile


def walk(found: Iterator[object]) -> None:
    """Take each column, and let go of it."""
    for _ in found:
        pass


class Reference:
    """Ready-made columns, combined for each participant; which ones, is made ready as well."""

    def __init__(self, everybody: Everybody, whom: list[ParticipantFile], station: str) -> None:
        ready = Ready.of(everybody)
        program, self.everyone = ready.program, np.ones(everybody.size, dtype=np.bool_)
        place = program.stations[station]
        entered = ready.met(program.entry)
        self.reached = ready.climbed(place.ladder.rungs, entered & ready.free[station])
        needs = {slug: ready.climbed(need.ladder.rungs, self.everyone) for slug, need in program.needs.items()}
        read = cards(everybody, [f"{one.code}@1" for one in whom if one.cards])
        self.pairs: list[tuple[Columns | None, list[int], list[list[Columns]]]] = []
        for one in whom:
            apart = [everybody.places[code] for code in one.profiles[0].keep_apart]
            of_needs = [needs[need.slug] for need in applicable_needs(program, place, one, DAY)]
            by_rung = [[need[rung] for need in of_needs if rung < len(need)] for rung in range(len(self.reached))]
            self.pairs.append((read[f"{one.code}@1"] if one.cards else None, apart, by_rung))

    def rows(self) -> Iterator[list[Columns]]:
        """Yield a boolean column for each level, for each participant."""
        for card, apart, by_rung in self.pairs:
            who, row = self._but(apart, card) if apart else card, []
            for at_station, needs in zip(self.reached, by_rung, strict=True):
                who = at_station if who is None else who & at_station
                for need in needs:
                    who = who & need
                row.append(who)
            yield row

    def _but(self, apart: list[int], card: Columns | None) -> Columns:
        who = self.everyone.copy() if card is None else card.copy()
        who[apart] = False
        return who


def check(found: Iterator[Column], reference: Reference) -> None:
    """See that both say the same."""
    for column, row in zip(found, reference.rows(), strict=True):
        for bits, expected in zip(column.reached, row, strict=True):
            if not np.array_equal(boolean(bits, column.size), expected):
                raise AssertionError(f"the reference differs for {column.participant}")


if __name__ == "__main__":
    run(measured)
