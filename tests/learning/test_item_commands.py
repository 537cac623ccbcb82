"""How quiz items do, on the command line."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from mentor_training.errors import NotFound
from mentor_training.learning.commands import items
from tests.builders import World
from tests.learning.test_item_reports import tried
from tests.outside.test_item_statistics import GUTTMAN, WORKED


def run(world: World, *words: str) -> Result:
    return CliRunner().invoke(items, list(words), obj=world.instance)


def as_json(world: World, *words: str) -> Any:
    done = run(world, *words, "--format", "json")
    assert done.exit_code == 0, done.output
    return json.loads(done.stdout)


def written(folder: Path, rows: list[tuple[int, ...]], names: bool = True) -> str:
    """Write a table as a spreadsheet would, and return its path."""
    file = folder / "paper.csv"
    with file.open("w", newline="", encoding="utf-8") as out:
        writer = csv.writer(out)
        writer.writerow([*(["student"] if names else []), *(f"item {place}" for place in range(1, len(rows[0]) + 1))])
        writer.writerows([*([f"s{place}"] if names else []), *row] for place, row in enumerate(rows))
    return str(file)


@pytest.mark.parametrize("names", [True, False], ids=["with-names", "without"])
def test_a_paper_quiz_is_looked_at_from_its_table(world: World, tmp_path: Path, names: bool) -> None:
    """The published table of ten students: KR-20 is 0.6963, and item 9 does not go with the rest."""
    found = as_json(world, "--responses", written(tmp_path, WORKED, names))
    assert found["people"] == 10
    assert found["kr20"] == pytest.approx(0.6963470319634703, abs=1e-12)
    assert found["sem"] == pytest.approx(1.403698817542556, abs=1e-9)
    assert [one["difficulty"] for one in found["items"]] == [0.7, 0.7, 0.6, 0.7, 0.6, 0.8, 0.7, 0.7, 0.5, 0.6]
    assert round(found["items"][8]["item_rest"], 4) == -0.1236
    assert found["items"][8]["item"] == "item 9"


def test_what_is_not_defined_is_null(world: World, tmp_path: Path) -> None:
    """One person, one item: nothing compares."""
    found = as_json(world, "--responses", written(tmp_path, [(1,)], names=False))
    assert (found["people"], found["kr20"], found["sem"]) == (1, None, None)
    one = found["items"][0]
    assert (one["difficulty"], one["discrimination"], one["item_rest"], one["band"]) == (1.0, None, None, None)


def test_a_table_for_people_says_so_in_words_and_csv_leaves_it_empty(world: World, tmp_path: Path) -> None:
    """The first line says how the test did as a whole."""
    file = written(tmp_path, GUTTMAN)
    lines = run(world, "--responses", file).stdout.splitlines()
    assert lines[0].startswith("11 people, 10 items each, mean 5.000 points, KR-20 0.909")
    assert lines[2].split()[:6] == ["item", "1", "11", "0.909", "0.909", "0.333"]
    rows = list(csv.reader(io.StringIO(run(world, "--responses", file, "--format", "csv").stdout)))
    assert rows[10] == ["item 10", "11", "0.091", "0.091", "0.333", "reasonably good", "0.427", "", "item"]
    alone = written(tmp_path, [(1, 0)])
    assert "not defined" in run(world, "--responses", alone).stdout
    assert "not defined" not in run(world, "--responses", alone, "--format", "csv").stdout


def test_every_wrong_cell_is_said_and_nothing_is_computed(world: World, tmp_path: Path) -> None:
    """By file, row and column, on standard error; status 2."""
    file = tmp_path / "paper.csv"
    file.write_text("a,b\n1,2\nx,1\n", encoding="utf-8")
    done = run(world, "--responses", str(file))
    assert (done.exit_code, done.stdout) == (2, "")
    assert [line.split(": ")[1] for line in done.stderr.splitlines()] == ["row 2, column b", "row 3, column a"]
    file.write_bytes(b"a,b\n\xff,1\n")
    assert run(world, "--responses", str(file)).exit_code == 2


def test_a_quiz_is_told_with_its_editions_options_and_unsafe_share(world: World) -> None:
    """The documented keys, and beside them what a bank of scenarios knows."""
    tried(world, "KIN-372-A", "KIN-372-A", "")
    found = as_json(world, "safety")
    assert (found["quiz"], found["edition"], found["people"], found["attempts"]) == ("safety", 1, 3, 3)
    gray = found["items"][0]
    assert (gray["item"], gray["people"], gray["look_at"]) == ("grey-and-sweating", 3, ["module", "item"])
    assert (gray["unsafe"]["times"], gray["unsafe"]["people"]) == (1, 3)
    assert gray["unsafe"]["low"] < 1 / 3 < gray["unsafe"]["high"]
    assert [(one["class"], one["times"]) for one in gray["options"]] == [("unsafe", 1), ("best", 1), ("wrong", 1)]
    assert found["items"][3]["unsafe"] is None
    table = run(world, "safety").stdout
    assert table.startswith("safety, edition 1, 3 first attempts of 3 people, 5 items each, mean 4.000 points")
    assert "module and item" in table


def test_all_quizzes_are_told_in_one_table_or_one_json(world: World) -> None:
    """A quiz that nobody took stands there with nothing defined."""
    assert run(world).stdout.splitlines()[1].split() == ["safety", "1", "0", "0", "5", *["not", "defined"] * 2, "0"]
    tried(world, "", "", "")
    found = as_json(world, "--all-attempts")
    assert [(one["quiz"], one["people"], one["all_attempts"]) for one in found["quizzes"]] == [("safety", 3, True)]
    assert "not defined" not in run(world, "--format", "csv").stdout


def test_no_name_and_no_code_of_a_person_comes_out(world: World) -> None:
    """The figures are about items."""
    world.add_person("v-077", name="Odalys Brannagh")
    tried(world, "", "")
    for words in (("safety",), ("safety", "--format", "json"), ("--format", "csv")):
        said = run(world, *words).output
        assert "v-0" not in said
        assert "Person" not in said


@pytest.mark.parametrize(
    "words", [("safety", "--responses", "FILE"), ("--responses", "FILE", "--all-attempts"), ("--edition", "1")]
)
def test_options_that_do_not_go_together_are_refused(world: World, tmp_path: Path, words: tuple[str, ...]) -> None:
    """With status 2, before anything is read."""
    file = written(tmp_path, WORKED)
    assert run(world, *(file if word == "FILE" else word for word in words)).exit_code == 2


def test_an_unknown_quiz_or_edition_is_not_found(world: World) -> None:
    """The edge makes status 2 of it."""
    assert isinstance(run(world, "swimming").exception, NotFound)
    assert isinstance(run(world, "safety", "--edition", "9").exception, NotFound)
