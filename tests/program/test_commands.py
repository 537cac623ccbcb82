"""`check` and `publish` on the command line."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable

import pytest
from click.testing import CliRunner, Result

from mentor_training.cli import main
from mentor_training.program.differences import UNRAISED
from mentor_training.program.queries import editions
from tests.builders import World
from tests.program.conftest import Put
from tests.program.definitions import in_two_versions
from tests.small_program import PROGRAM, QUIZ, SAFETY

TWO_VERSIONS = {"quizzes/safety.yaml": in_two_versions(QUIZ)}
FAULTY = {**TWO_VERSIONS, "program/program.toml": PROGRAM.replace("entry", "entri"), "quizzes/x.yml": ""}
LONG_ENOUGH = {**TWO_VERSIONS, "modules/safety.md": SAFETY + "word " * 900}
CONTENT = "3 stations, 2 needs, 2 skills, 2 papers, 1 module, 1 quiz, 1 course, 1 certificate"

Run = Callable[..., Result]


@pytest.fixture
def run(world: World, put: Put) -> Run:
    """Give a way to run a command on the instance; what is typed answers its questions."""
    folder = str(world.instance.settings.folder)
    return lambda *words, typed="": CliRunner().invoke(main, ["--instance", folder, *words], input=typed)


def numbers(world: World) -> list[int]:
    """Return the numbers of the editions there are."""
    with world.reading() as db:
        return [one.number for one in editions(db)]


def test_check_prints_every_finding_and_ends_with_1_on_a_fault(run: Run, put: Put) -> None:
    """FILE:LINE: what; what would be right. Advice is marked, a summary comes last."""
    put(FAULTY)
    answer = run("check")
    assert answer.exit_code == 1
    lines = answer.output.splitlines()
    assert lines[0] == "program/program.toml:2: unknown key `entri` in the program; did you mean `entry`?"
    assert lines[1].startswith("modules/safety.md:17: advice: the module has 13 words; ")
    assert lines[2] == "quizzes/x.yml:1: no file of this name belongs here; name it quizzes/x.yaml"
    assert lines[3:] == ["2 faults, 1 advice"]


def test_advice_alone_ends_with_0_and_with_1_where_it_counts(run: Run, put: Put) -> None:
    """`--strict` makes advice count."""
    assert run("check").exit_code == 0
    assert run("check", "--strict").exit_code == 1
    put(LONG_ENOUGH)
    answer = run("check", "--strict")
    assert (answer.exit_code, answer.output) == (0, f"no faults, no advice: {CONTENT}\n")


def test_check_as_json_and_csv(run: Run, put: Put) -> None:
    """For other programs to read, with the same exit status."""
    put(FAULTY)
    answer = run("check", "--format", "json")
    found = json.loads(answer.output)
    assert answer.exit_code == 1
    assert (found["faults"], found["advice"]) == (2, 1)
    assert found["findings"][0] == {
        "file": "program/program.toml",
        "line": 2,
        "kind": "fault",
        "what": "unknown key `entri` in the program",
        "right": "did you mean `entry`?",
    }
    rows = list(csv.reader(io.StringIO(run("check", "--format", "csv").output)))
    assert rows[0] == ["file", "line", "kind", "what", "right"]
    assert [row[2] for row in rows[1:]] == ["fault", "advice", "fault"]


def test_a_file_that_is_no_text_is_found_by_check_too(run: Run, world: World) -> None:
    """It would otherwise silently be missing."""
    (world.instance.settings.folder / "modules" / "x.md").write_bytes(b"caf\xe9")
    answer = run("check")
    assert answer.exit_code == 1
    assert "modules/x.md:1: the file is not UTF-8 text; save it with the encoding UTF-8" in answer.output


def test_publish_says_what_changes_and_publishes(run: Run, put: Put, world: World) -> None:
    """The edition that the builder of this test published has the same files but for these."""
    put({**LONG_ENOUGH, "modules/more.md": LONG_ENOUGH["modules/safety.md"].replace("slug: safety", "slug: more")})
    answer = run("publish", "--effective", "2999-01-01", "--yes")
    assert answer.output.splitlines() == [
        "edition 2 would take effect on 2999-01-01, with 12 files",
        "  added since edition 1: modules/more.md",
        "  changed since edition 1: modules/safety.md",
        "  changed since edition 1: quizzes/safety.yaml",
        f"  the module safety says something else; {UNRAISED.format(1)}",
        "0 volunteers would gain somewhere, 0 would lose somewhere",
        "edition 2 is published; it takes effect on 2999-01-01",
    ]
    assert numbers(world) == [2, 1]


def test_publish_asks_first(run: Run, put: Put, world: World) -> None:
    """Without a yes nothing is published."""
    put(LONG_ENOUGH)
    assert run("publish", "--effective", "2999-01-01", typed="n\n").exit_code == 1
    assert run("publish", "--effective", "2999-01-01").exit_code == 1
    assert numbers(world) == [1]
    assert run("publish", "--effective", "2999-01-01", typed="y\n").exit_code == 0
    assert numbers(world) == [2, 1]


def test_publish_refuses_faults_and_says_them(run: Run, put: Put, world: World) -> None:
    """Exit status 1, and nothing is stored."""
    put(FAULTY)
    answer = run("publish", "--effective", "2999-01-01", "--yes")
    assert answer.exit_code == 1
    assert "program/program.toml:2: unknown key `entri`" in answer.output
    assert "nothing is published: 2 faults, 1 advice" in answer.output
    assert numbers(world) == [1]


def test_publish_refuses_a_day_that_is_past(run: Run, put: Put, world: World) -> None:
    """An edition after the first does not reach back."""
    put(LONG_ENOUGH)
    answer = run("publish", "--effective", "2026-01-01", "--yes")
    assert answer.exit_code == 1
    assert "cannot take effect before the day it is published" in answer.output
    assert numbers(world) == [1]


@pytest.mark.parametrize("words", [("publish", "--yes"), ("publish", "--effective", "soon", "--yes")])
def test_publish_used_wrongly_ends_with_2(run: Run, words: tuple[str, ...]) -> None:
    """The day is needed, and must be one."""
    assert run(*words).exit_code == 2
