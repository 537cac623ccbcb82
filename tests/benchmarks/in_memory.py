"""The evidence of a large program in memory, and ready-made boolean columns of it for a bare numpy reference."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np
from numpy.typing import NDArray

from mentor_training.clearance.dossier import Dossier
from mentor_training.clearance.everybody import Everybody
from mentor_training.clearance.matrix import Day, pauses_at
from mentor_training.clearance.sheaves import Row, Sheaves
from mentor_training.evidence.facts import Fact
from mentor_training.program.catalog import Program
from mentor_training.program.requirements import AtLeast, Atom, Item, Requirement, atoms_of
from tests.benchmarks.data import DAY, RecordRow, Size, people, published

Columns = NDArray[np.bool_]


def as_rows(records: Iterable[RecordRow]) -> list[Row]:
    """Return what the store gives of records for everybody's tracks."""
    rows: list[Any] = [
        (one["person"], one["kind"], one["item"], one["first_day"], one["last_day"], _minutes(one)) for one in records
    ]
    return rows


def _minutes(record: RecordRow) -> object:
    return record["note"] if record["kind"] == "hours" else ""


def as_fact(record: RecordRow) -> Fact:
    """Return a row as a fact."""
    values: dict[str, Any] = {name: value for name, value in record.items() if name != "number"}
    return Fact(**values)


@dataclass(frozen=True)
class Evidence:
    """What is in memory: rows as the store gives them, and the records of those who have corrections or pauses."""

    size: Size
    rows: list[Row]
    apart: Mapping[str, tuple[Fact, ...]]

    @classmethod
    def of(cls, size: Size, records: Iterable[RecordRow]) -> Evidence:
        """Gather some records."""
        kept = list(records)
        marked = {one["person"] for one in kept if one["kind"] in ("stood-down", "restricted", "withdrawn")}
        apart: dict[str, list[Fact]] = {}
        for one in kept:
            if one["person"] in marked:
                fact = as_fact(one)
                apart.setdefault(fact.person, []).append(fact)
        return cls(size, as_rows(kept), {person: tuple(facts) for person, facts in apart.items()})

    def read(self) -> Everybody:
        """Read it: what `state` costs."""
        editions = (published(self.size),)
        sheaves = Sheaves(self.rows, people(self.size))
        dossiers = {person: Dossier(person, facts, editions) for person, facts in self.apart.items()}
        return Everybody(sheaves, dossiers, editions)


def boolean(bits: int, size: int) -> Columns:
    """Return a set as a boolean column."""
    octets = np.frombuffer(bits.to_bytes((size + 7) // 8, "little"), dtype=np.uint8)
    return np.unpackbits(octets, count=size, bitorder="little").astype(np.bool_)


@dataclass(frozen=True)
class Ready:
    """Ready-made boolean columns for one day: who holds which atom, and who is free of pauses at which station."""

    program: Program
    atoms: Mapping[Atom, Columns]
    free: Mapping[str, Columns]

    @classmethod
    def of(cls, everybody: Everybody, day: date = DAY) -> Ready:
        """Take them from the tracks: what they say is not measured here, only how fast it is combined."""
        one, size = Day(everybody, day), everybody.size
        wanted = [one.program.entry]
        ladders = [station.ladder for station in one.program.stations.values()]
        for ladder in [*ladders, *(need.ladder for need in one.program.needs.values())]:
            wanted += ladder.rungs
        atoms = {atom: boolean(one.holding(atom), size) for part in wanted for atom in atoms_of(part)}
        free = {}
        for station in one.program.stations.values():
            paused = 0
            for track in pauses_at(everybody, station):
                paused |= track.on(day.toordinal())
            free[station.slug] = ~boolean(paused, size)
        return cls(one.program, atoms, free)

    def met(self, requirement: Requirement) -> Columns:
        """Combine columns as a requirement asks."""
        if not isinstance(requirement, AtLeast):
            return self.atoms[requirement]
        parts = [self.met(part) for part in requirement.of]
        found = parts[0]
        if requirement.count == len(parts):
            for part in parts[1:]:
                found = found & part
        elif requirement.count == 1:
            for part in parts[1:]:
                found = found | part
        else:
            found = np.add.reduce(parts, dtype=np.uint8) >= requirement.count
        return found

    def climbed(self, rungs: Iterable[Requirement], who: Columns) -> list[Columns]:
        """Return who reaches which rung."""
        reached = []
        for rung in rungs:
            who = who & self.met(rung)
            reached.append(who)
        return reached

    def stations(self) -> dict[str, list[Columns]]:
        """Return, for each station, a boolean column for each level from 1 up."""
        entered = self.met(self.program.entry)
        return {
            slug: self.climbed(station.ladder.rungs, entered & self.free[slug])
            for slug, station in self.program.stations.items()
        }


def cards(everybody: Everybody, names: Iterable[str], day: date = DAY) -> dict[str, Columns]:
    """Return who has read which card, as ready-made columns."""
    one = Day(everybody, day)
    return {name: boolean(one.holding(Item(f"card/{name}")), everybody.size) for name in names}
