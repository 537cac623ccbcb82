"""The register on the command line."""

from __future__ import annotations

import hashlib
import os
import pty
import stat
import subprocess
import sys
from pathlib import Path

import click
import pytest
from click.testing import CliRunner, Result

from mentor_training.cli import main
from mentor_training.register.commands import register
from tests.builders import World
from tests.register.files import BINDER, HEAD, rows, settle, written_out


@pytest.fixture
def empty(world: World) -> World:
    """Give a settled instance with an empty register."""
    return settle(world)


def run(world: World, *words: str) -> Result:
    return CliRunner().invoke(register, list(words), obj=world.instance)


def file_of(folder: Path, text: str) -> str:
    path = folder / "register.csv"
    path.write_bytes(text.encode())
    return str(path)


def test_a_file_goes_in_and_comes_out_and_a_second_import_changes_nothing(empty: World, tmp_path: Path) -> None:
    """Said in one or two lines; with status 0."""
    file = file_of(tmp_path, BINDER)
    done = run(empty, "import", file)
    assert (done.exit_code, done.output) == (
        0,
        "15 rows read, 15 of them new\nthe register was empty: a move-in, with the moments of recording as written\n",
    )
    assert run(empty, "import", file).output == "15 rows read, 0 of them new\n"
    exported = run(empty, "export")
    assert (exported.exit_code, exported.stdout_bytes) == (0, written_out(empty).encode())


def test_every_finding_is_printed_with_status_2_and_nothing_is_stored(empty: World, tmp_path: Path) -> None:
    """File, row, column, what is wrong, what would be right; on standard error."""
    file = file_of(
        tmp_path, BINDER + "b-01,v-01,met,skill/gaurding,2026-02-30,,,,,\r\nb-16,v-001,voided,,2026-10-01,,,,x,\r\n"
    )
    done = run(empty, "import", file)
    twice = "two records with one name: 'b-01' stands in row 2 too; give each record a name of its own"
    about = "write the name of the record that it is about"
    nothing = f"'x' names no record of this file or of the register; {about}"
    assert (done.exit_code, done.stdout) == (2, "")
    assert done.stderr.splitlines() == [
        f"{file}: row 17, column person: 'v-01' is nobody's code; did you mean `v-001`?",
        f"{file}: row 17, column item: 'skill/gaurding' is unknown; did you mean `skill/guarding`?",
        f"{file}: row 17, column first_day: '2026-02-30' is no day; write a day that exists as YYYY-MM-DD",
        f"{file}: row 17, column record: {twice}",
        f"{file}: row 18, column refers_to: {nothing}",
    ]
    assert written_out(empty) == HEAD


def test_a_dry_run_says_what_would_be_taken_in_and_stores_nothing(empty: World, tmp_path: Path) -> None:
    """By kind, the most frequent first; with the same findings and status where something is wrong."""
    done = run(empty, "import", "--dry-run", file_of(tmp_path, BINDER))
    lines = done.output.splitlines()
    assert (done.exit_code, lines[0], lines[-1]) == (0, "15 rows read, 15 of them would be new", "nothing was stored")
    assert "        2 completed" in lines
    assert "        1 read-card" in lines
    assert written_out(empty) == HEAD
    wrong = run(empty, "import", "--dry-run", file_of(tmp_path, rows("b,v-009,met,skill/guarding,2026-01-05,,,,,")))
    assert wrong.exit_code == 2
    assert "row 2, column person" in wrong.stderr


def test_a_register_is_written_to_a_new_file_readable_by_its_owner_only(empty: World, tmp_path: Path) -> None:
    """Over a file that is there nothing is written, and nothing is left beside it."""
    run(empty, "import", file_of(tmp_path, BINDER))
    file = tmp_path / "out" / "all.csv"
    file.parent.mkdir()
    assert (run(empty, "export", "--output", str(file)).exit_code, file.read_bytes()) == (
        0,
        written_out(empty).encode(),
    )
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    again = run(empty, "export", "--output", str(file))
    assert again.exit_code == 2
    assert "is there already; name a new file" in again.stderr
    nowhere = run(empty, "export", "--output", str(tmp_path / "not-there" / "all.csv"))
    assert nowhere.exit_code == 2
    assert "cannot be written" in nowhere.stderr
    assert os.listdir(file.parent) == ["all.csv"]  # noqa: PTH208 - the bare names are what is compared


def test_a_file_that_is_not_utf_8_is_refused(empty: World, tmp_path: Path) -> None:
    """Spreadsheets save in other encodings; it says what to do."""
    path = tmp_path / "register.csv"
    path.write_bytes(BINDER.encode() + b"b-16,v-001,met,skill/guarding,2026-01-05,,,,,caf\xe9\r\n")
    done = run(empty, "import", str(path))
    assert done.exit_code == 2
    assert "save it as CSV UTF-8" in done.stderr


def test_the_commands_work_as_a_person_types_them(empty: World, tmp_path: Path) -> None:
    """In processes of their own, into a pipe: no progress bar there, and the bytes are the file's."""
    start = "from mentor_training.cli import main; main()"
    words = [sys.executable, "-c", start, "--instance", str(empty.instance.settings.folder), "register"]
    file = file_of(tmp_path, BINDER)
    taken = subprocess.run([*words, "import", file], capture_output=True, check=False)
    assert (taken.returncode, taken.stderr) == (0, b"")
    assert taken.stdout.startswith(b"15 rows read, 15 of them new\n")
    out = subprocess.run([*words, "export"], capture_output=True, check=False)
    assert (out.returncode, out.stderr) == (0, b"")
    assert hashlib.sha256(out.stdout).digest() == hashlib.sha256(written_out(empty).encode()).digest()


def test_a_terminal_shows_how_far_an_import_is(empty: World, tmp_path: Path) -> None:
    """On the error output, so that a pipe beside it stays clean; the file's name stands before the bar."""
    reading, terminal = pty.openpty()
    start = "from mentor_training.cli import main; main()"
    words = [sys.executable, "-c", start, "--instance", str(empty.instance.settings.folder), "register", "import"]
    done = subprocess.run([*words, file_of(tmp_path, BINDER)], stdout=subprocess.PIPE, stderr=terminal, check=False)
    os.close(terminal)
    shown = os.read(reading, 10_000).decode()
    os.close(reading)
    assert (done.returncode, done.stdout.splitlines()[0]) == (0, b"15 rows read, 15 of them new")
    assert "register.csv" in shown
    assert "#" in shown


def test_the_register_is_among_the_commands() -> None:
    """With both of its parts."""
    group = main.commands["register"]
    assert isinstance(group, click.Group)
    assert sorted(group.commands) == ["export", "import"]
