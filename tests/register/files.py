"""Registers for tests: rows written as in the file, taken into an instance, and read back from it."""

from __future__ import annotations

import csv
import io
import shutil
from datetime import date
from pathlib import Path

from mentor_training.clock import FixedClock
from mentor_training.csv_form import write_rows
from mentor_training.database.instance import open_instance
from mentor_training.people.permissions import CONSOLE, Actor
from mentor_training.register.actions import import_register
from mentor_training.register.form import COLUMNS
from mentor_training.register.queries import in_pieces
from mentor_training.register.rules import Intake
from tests.builders import NOON, World, make_world

HEAD = ",".join(COLUMNS) + "\r\n"
PEOPLE = ("v-001", "v-002", "v-003")
# A binder as it moves in: one row of each kind, a correction above the record that it is about, a zone that is not UTC.
BINDER = (
    HEAD
    + """\
b-01,v-001,on-file,paper/background-check,2026-01-05,2027-12-31,2026-01-05T09:00:00-05:00,binder,,
b-02,v-001,completed,module/safety@1,2026-01-06,,2026-01-06T15:00:00.000001Z,v-001,,
b-03,v-001,signed-off,skill/guarding,2026-02-07,,2026-02-07T16:00:00Z,o-01,,
b-04,v-001,met,skill/guarding,2026-02-07,,2026-02-07T16:00:00Z,o-01,,"She said: ""hold on"",
and waited."
b-05,v-001,practiced,skill/guarding,2026-02-14,,2026-02-14T18:00:00Z,c-01,,
b-06,v-001,waived,paper/photo-choice,2026-02-14,2026-12-31,2026-02-14T18:00:00Z,c-01,, No photos yet
b-07,v-001,hours,direct,2026-02-14,,2026-02-14T18:00:00Z,i-01,,97
b-08,v-001,attended,s-01,2026-02-14,,2026-02-14T18:00:00Z,c-01,,
b-09,v-001,read-card,card/p-01@1,2026-02-14,,2026-02-14T08:00:00Z,v-001,,
b-10,v-002,lifted,,2026-03-10,,2026-03-10T08:00:00Z,c-01,b-11,Spoke with her.
b-11,v-002,stood-down,balance-lane,2026-03-01,,2026-03-01T08:00:00Z,c-01,,Left the lane.
b-12,v-002,restricted,activity/standing,2026-03-01,2026-04-01,2026-03-01T08:00:00Z,c-01,,
b-13,v-002,completed,module/safety,2026-03-02,,2026-03-02T08:00:00Z,binder,,
b-14,v-002,withdrawn,module/safety,2026-05-02,,2026-05-02T08:00:00Z,c-01,b-13,Wrong person.
b-15,v-002,voided,,2026-05-03,,2026-05-03T08:00:00Z,c-01,b-14,It was her after all.
""".replace("\n", "\r\n")
)


def rows(*lines: str) -> str:
    """Return a register of rows written as in the file."""
    return HEAD + "".join(line + "\r\n" for line in lines)


def cells_of(text: str) -> list[dict[str, str]]:
    """Return the rows of a register as the standard library reads them."""
    return list(csv.DictReader(io.StringIO(text, newline=""), strict=True))


def with_cell(line: str, column: str, value: str) -> str:
    """Return a row with one cell written otherwise."""
    cells = next(csv.reader([line]))
    cells[COLUMNS.index(column)] = value
    return write_rows(cells, ()).removesuffix("\r\n")


def take_in(world: World, text: str, who: str = "console") -> Intake:
    """Take a register in, at the moment of the world's clock."""
    actor = CONSOLE if who == "console" else Actor(who, who, CONSOLE.roles)
    with world.writing() as db:
        return import_register(db, world.clock.now(), actor, text)


def written_out(world: World) -> str:
    """Return the whole register as it is written out."""
    with world.reading() as db:
        return "".join(in_pieces(db))


def settle(world: World) -> World:
    """Bring people, a participant with two needs and one without into a world with the small program."""
    for code in PEOPLE:
        world.add_person(code)
    world.add_person("c-01", "coordinator")
    world.add_participant("p-01", needs="fall-risk;two-mentors", keep_apart="v-003")
    world.add_participant("p-02")
    return world


def settled(folder: Path) -> Path:
    """Make a folder with a settled instance and an empty register, closed, to be copied."""
    world = make_world(folder)
    world.publish(effective=date(2026, 1, 1))
    settle(world).instance.database.close()
    return folder


def copy_of(original: Path, folder: Path) -> World:
    """Open a copy of a settled instance."""
    shutil.copytree(original, folder)
    clock = FixedClock(NOON)
    return World(open_instance(folder, clock), clock)
