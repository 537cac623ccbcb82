"""What one process keeps of the evidence is never behind what another has committed, on both databases."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import event
from sqlalchemy.orm import Session

from mentor_training.application import create_app
from mentor_training.clearance.queries import gate_at
from mentor_training.clock import FixedClock
from mentor_training.database.instance import open_instance
from mentor_training.evidence.actions import record
from tests.builders import FRIDAY, World, make_world
from tests.sign_in import Visitor
from tests.small_program import STATIONS, small_files

ROOT = Path(__file__).resolve().parents[2]
ENTRY = ("paper/background-check", "module/safety@1")
PEOPLE = ("v-001", "v-002", "v-003")
LANE = "/clearance/people/v-001/at/balance-lane"


@pytest.fixture
def program(stored: World) -> World:
    """Give a program with three volunteers who are independent at the balance lane."""
    stored.add_person("c-01", "coordinator")
    for code in PEOPLE:
        stored.add_person(code)
        stored.hold(code, *ENTRY, "skill/guarding")
    return stored


@contextmanager
def site(world: World) -> Iterator[Visitor]:
    """Open the same instance once more, with a database of its own as another process has it, signed in."""
    instance = open_instance(world.instance.settings.folder, FixedClock(world.clock.now()))
    try:
        yield Visitor(create_app(instance, testing=True).test_client()).sign_in("c-01")
    finally:
        instance.database.close()


def on_board(visitor: Visitor) -> dict[str, str]:
    """Return each volunteer's level at the balance lane as the board shows it."""
    page = visitor.get("/clearance").text
    rows = re.findall(r'<th scope="row"><a href="/clearance/people/(v-\d+)"', page)
    cells = re.findall(r'/clearance/people/(v-\d+)/at/balance-lane".*?level-word">([^<]+)<', page, re.DOTALL)
    assert [person for person, _ in cells] == rows
    return dict(cells)


def at_the_station(visitor: Visitor) -> set[str]:
    """Return who can work at the balance lane as its page shows it."""
    page = visitor.get("/clearance/stations/balance-lane").text
    return set(re.findall(r"/clearance/people/(v-\d+)/at", page.split('id="level-0"')[0]))


def test_a_stand_down_by_another_process_is_on_the_very_next_page(program: World) -> None:
    """The board and the station have been shown before; nobody told this process."""
    with site(program) as here:
        assert on_board(here) == dict.fromkeys(PEOPLE, "Independent")
        assert at_the_station(here) == set(PEOPLE)
        command = [sys.executable, "-m", "tests.storage.pauser", str(program.instance.settings.folder), "v-002"]
        subprocess.run(command, cwd=ROOT, check=True, timeout=120)
        assert on_board(here) == {"v-001": "Independent", "v-002": "Not yet", "v-003": "Independent"}
        assert at_the_station(here) == {"v-001", "v-003"}


def test_a_stand_down_and_its_lifting_on_one_site_are_on_the_very_next_page_of_another(program: World) -> None:
    """Each way, on both; whoever looked before and whoever did not."""
    with site(program) as here, site(program) as there:
        assert on_board(there)["v-001"] == "Independent"
        records = "/clearance/people/v-001/records"
        sent = here.send(
            records, "/clearance/people/v-001/pause", kind="stood-down", scope="balance-lane", reason="Asked to pause."
        )
        assert sent.status_code == 303
        assert on_board(there)["v-001"] == on_board(here)["v-001"] == "Not yet"
        name = re.search(r"record (r-\d+)", there.get(LANE).text)
        assert name
        lifting = f"/records/{name[1]}/correct"
        assert here.send(lifting, lifting, reason="Talked.").status_code == 303
        assert on_board(there)["v-001"] == on_board(here)["v-001"] == "Independent"


def test_a_new_volunteer_and_a_new_edition_are_on_the_very_next_page(program: World) -> None:
    """Nobody has a record of the first; everybody's levels may change by the second."""
    with site(program) as here:
        assert on_board(here) == dict.fromkeys(PEOPLE, "Independent")
        program.add_person("v-004")
        assert on_board(here) == {**dict.fromkeys(PEOPLE, "Independent"), "v-004": "Not yet"}
        harder = STATIONS.replace('independent = { all = ["skill/guarding"] }', 'independent = "skill/leading"')
        program.publish(small_files(program__stations_toml=harder), effective=FRIDAY, number=2)
        assert on_board(here)["v-001"] == "Supervised"


def level(db: Session, world: World, person: str = "v-001", **earlier: float) -> int:
    """Return a level at the balance lane, from the matrix and from a dossier among all, which say the same."""
    gate = gate_at(db, world.clock.now() - timedelta(**earlier))
    found = gate.levels([*PEOPLE], ["balance-lane"], FRIDAY, FRIDAY)[PEOPLE.index(person)][0][0]
    gate.load_everybody()
    assert gate.decide(person, "balance-lane", None, FRIDAY).level == found
    return found


def stand_down(db: Session, world: World, person: str = "v-001") -> None:
    record(db, world.clock.now(), "console", person, "stood-down", "", FRIDAY, note="Asked to pause.")


@pytest.mark.parametrize("asked_before", [True, False])
@pytest.mark.parametrize("asked_meanwhile", [True, False])
def test_what_is_undone_was_never_remembered(program: World, asked_before: bool, asked_meanwhile: bool) -> None:
    """A session that writes sees its own stand-down; nobody else does, nor does anybody once it is rolled back.

    The next record has the number, the name and the moment that the one undone had.
    """
    database = program.instance.database
    if asked_before:
        with database.reading() as db:
            assert level(db, program) == 2
    with database.open_writer() as writer:
        stand_down(writer, program)
        assert level(writer, program) == 0
        if asked_meanwhile:
            with database.reading() as db:
                assert level(db, program) == 2
        writer.rollback()
    with program.writing() as db:
        record(db, program.clock.now(), "console", "v-003", "hours", "direct", FRIDAY, note="30")
    with database.reading() as db:
        assert level(db, program) == 2


def test_what_was_recorded_later_is_not_known_earlier_though_it_is_remembered(program: World) -> None:
    """A moment ago nobody was stood down; an hour ago nothing at all was known."""
    program.clock.forward(minutes=30)
    with program.writing() as db:
        stand_down(db, program)
    with program.reading() as db:
        assert level(db, program) == 0
        assert level(db, program, minutes=10) == 2
        assert level(db, program, minutes=60) == 0
        assert level(db, program) == 0


@contextmanager
def reads_of(world: World) -> Iterator[list[tuple[str, object]]]:
    """Collect the statements that read records, with what they were asked with."""
    found: list[tuple[str, object]] = []

    def note(_connection: object, _cursor: object, statement: str, values: object, *_: object) -> None:
        if "record.person" in statement:
            found.append((statement, values))

    event.listen(world.instance.database.engine, "before_cursor_execute", note)
    yield found
    event.remove(world.instance.database.engine, "before_cursor_execute", note)


def test_one_changed_record_reads_one_volunteer(program: World) -> None:
    """Once all was read, the next question asks only about whom there is anything new."""
    with program.reading() as db:
        level(db, program)
    with program.writing() as db:
        stand_down(db, program, "v-003")
    with reads_of(program) as reads, program.reading() as db:
        assert level(db, program, "v-003") == 0
    of_records = [values for statement, values in reads if "record.kind" in statement]
    assert of_records, reads
    assert all("v-003" in str(values) and "v-001" not in str(values) for values in of_records), of_records
    with reads_of(program) as reads, program.reading() as db:
        assert level(db, program, "v-003") == 0
    assert not [statement for statement, _ in reads if "record.kind" in statement]


def test_another_database_put_in_the_place_of_the_first_is_noticed(tmp_path: Path) -> None:
    """As after a backup was restored: records of the same numbers and names, and other things in them."""
    worlds = [make_world(tmp_path / name) for name in ("one", "other")]
    for number, world in enumerate(worlds):
        world.clock.forward(seconds=number)
        world.publish()
        for code in PEOPLE:
            world.add_person(code)
        world.hold(PEOPLE[number], *ENTRY)
    first, second = worlds
    with first.reading() as db:
        assert [level(db, first, code) for code in PEOPLE] == [1, 0, 0]
    with second.writing() as db:
        stand_down(db, second, "v-003")
    with first.reading() as db:
        remembered = db.info["remembered"]
    with second.reading() as db:
        db.info["remembered"] = remembered
        assert [level(db, second, code) for code in PEOPLE] == [0, 1, 0]
    for world in worlds:
        world.instance.database.close()
