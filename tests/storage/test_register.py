"""The register on both databases: what one of them writes out, the other takes in and writes out again."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from mentor_training.journal.queries import entries, find_break
from tests.builders import World, make_world
from tests.register.files import BINDER, HEAD, rows, settle, take_in, written_out


def test_a_register_is_the_same_to_the_byte_on_either_database(stored: World, tmp_path: Path) -> None:
    """Corrections above their records, microseconds, notes over lines; also what is recorded after the move-in."""
    settle(stored)
    assert take_in(stored, BINDER).problems == ()
    stored.clock.forward(microseconds=1)
    assert take_in(stored, rows("n-2,v-003,voided,,2026-10-02,,,,n-1,no", "n-1,v-003,attended,s-1,2026-10-01,,,,,")).new
    stored.hold("v-002", "paper/background-check")
    out = written_out(stored)
    beside = make_world(tmp_path / "beside")
    beside.publish()
    settle(beside)
    beside.clock.forward(days=1)
    assert take_in(beside, out).problems == ()
    assert written_out(beside) == out
    beside.instance.database.close()
    with stored.reading() as db:
        assert find_break(db) is None


def test_a_wrong_file_leaves_either_database_as_it_was(stored: World) -> None:
    """Also one with characters that one of the databases cannot hold, in any column."""
    settle(stored)
    good = "b-1,v-001,on-file,paper/photo-choice,2026-01-05,2026-12-31,2026-01-05T10:00:00Z,binder,,seen"
    for place in range(10):
        cells = good.split(",")
        cells[place] += "\0"
        intake = take_in(stored, rows(good.replace("b-1", "b-0"), ",".join(cells)))
        assert {one.row for one in intake.problems} == {3}
    assert written_out(stored) == HEAD


def test_a_second_import_finds_everything_there_on_either_database(stored: World) -> None:
    """Moments are compared as moments, however a database keeps them; a name that none can hold is a finding."""
    settle(stored)
    take_in(stored, BINDER)
    for text in (BINDER, written_out(stored)):
        intake = take_in(stored, text)
        assert (intake.problems, intake.new, intake.there) == ((), (), 15)
    intake = take_in(stored, rows("x\0,v-001,attended,s-1,2026-01-05,,,,,", "y,v-001,voided,,2026-01-05,,,,z\0,"))
    assert {(one.row, one.column) for one in intake.problems} == {(2, "record"), (3, "refers_to")}


def test_of_two_imports_at_once_one_moves_in_and_the_other_finds_everything_there(
    stored: World, tmp_path: Path
) -> None:
    """Two processes with the same file: whoever comes second waits, and says that nothing is new."""
    settle(stored)
    file = tmp_path / "register.csv"
    file.write_bytes(BINDER.encode())
    command = [sys.executable, "-c", "from mentor_training.cli import main; main()"]
    command += ["--instance", str(stored.instance.settings.folder), "register", "import", str(file)]
    both = [subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) for _ in (1, 2)]
    said = [process.communicate(timeout=60) for process in both]
    assert [process.returncode for process in both] == [0, 0], said
    assert sorted(out.splitlines()[0] for out, _ in said) == [
        "15 rows read, 0 of them new",
        "15 rows read, 15 of them new",
    ]
    with stored.reading() as db:
        assert len(entries(db, kind="register-moved-in")) == 1
        assert find_break(db) is None
