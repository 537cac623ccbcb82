"""Terms and availability on the command line."""

from __future__ import annotations

from pathlib import Path

import click
from click.testing import CliRunner, Result

from mentor_training.planning.commands.attending import availability, terms
from tests.builders import World

TERMS = "term,title,first_day,last_day,holidays\r\nfall,Fall 2026,2026-08-24,2026-12-18,2026-11-26;2026-11-28\r\n"
HEAD = "kind,code,about,which,answer\r\n"
SAID = f"{HEAD}participant,p-01,session,s-11,blocks 2\r\nperson,v-002,term,fall,SA 09:00-12:00\r\n"


def run(world: World, command: click.Command, *words: str) -> Result:
    return CliRunner().invoke(command, list(words), obj=world.instance)


def test_what_is_taken_in_is_written_out_the_same(floor: World, tmp_path: Path) -> None:
    """A second import of the same file changes nothing."""
    for command, text, count in ((terms, TERMS, 1), (availability, SAID, 2)):
        file = tmp_path / "file.csv"
        file.write_text(text, encoding="utf-8", newline="")
        assert f"{count} rows read, {count} of them new or changed" in run(floor, command, "import", str(file)).output
        assert f"{count} rows read, 0 of them new or changed" in run(floor, command, "import", str(file)).output
        assert run(floor, command, "export").output.replace("\r\n", "\n") == text.replace("\r\n", "\n")


def test_a_broken_file_is_told_and_nothing_is_taken(floor: World, tmp_path: Path) -> None:
    """Exit status 2, each finding with file, row and column."""
    for command, text in ((terms, TERMS), (availability, SAID)):
        file = tmp_path / "file.csv"
        file.write_text(f"{text}x,y,z,2026-08-32,what\r\n", encoding="utf-8", newline="")
        done = run(floor, command, "import", str(file))
        assert done.exit_code == 2
        assert f"{file}: row " in done.output
        assert len(run(floor, command, "export").output.splitlines()) == 1
