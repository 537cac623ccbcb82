"""How far observers agree, on the command line."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from mentor_training.observing.agreement.marks import ORDER
from mentor_training.observing.agreement.reading import read_marks
from mentor_training.observing.commands import agreement
from mentor_training.observing.rules.results import Marking
from tests.observing.marking import rows_of_table

HEAD = "observer,performance,criterion,mark\n"
COHEN = HEAD + "".join(
    f"i-01,p-{place},1,{row}\ni-02,p-{place},1,{column}\n"
    for place, (row, column) in enumerate(rows_of_table([[88, 14, 18], [10, 40, 10], [2, 6, 12]]))
)
STAGED = HEAD + "key,a,1,done\nkey,a,2,not-done\nkey,b,1,reminded\nkey,b,2,stopped\n" + (
    "i-01,a,1,done\ni-01,a,2,done\ni-01,b,1,reminded\ni-01,b,2,stopped\n"
    "i-02,a,1,done\ni-02,a,2,not-done\ni-02,b,1,helped\ni-02,b,2,not-seen\n"
)  # fmt: skip


def run(folder: Path, text: str, *words: str) -> Result:
    file = folder / "marks.csv"
    file.write_text(text, encoding="utf-8")
    return CliRunner().invoke(agreement, ["--marks", str(file), *words])


def as_json(folder: Path, text: str, *words: str) -> dict[str, object]:
    done = run(folder, text, *words, "--format", "json")
    assert done.exit_code == 0, done.output
    found: dict[str, object] = json.loads(done.stdout)
    return found


def test_two_observers_as_json(tmp_path: Path) -> None:
    """Cohen's table of 1960, with every coefficient, how its interval was made, and the seed."""
    found = as_json(tmp_path, COHEN)
    assert list(found)[:6] == ["percent", "cohen", "fleiss", "alpha_nominal", "alpha_ordinal", "ac1"]
    assert found["cohen"] == pytest.approx({"value": 0.491525, "low": 0.391564, "high": 0.591487}, abs=1e-6)
    assert (found["observers"], found["performances"], found["units"]) == (["i-01", "i-02"], 200, 200)
    assert (found["seed"], found["samples"], found["marks"], found["against_key"]) == (1, 2000, [0, 1, 2], None)
    intervals = found["intervals"]
    assert isinstance(intervals, dict)
    assert (intervals["cohen"], intervals["ac1"]) == ("formula", "bootstrap")


def test_the_order_of_rows_changes_nothing(tmp_path: Path) -> None:
    """Not a digit, intervals included."""
    lines = COHEN.splitlines(keepends=True)
    assert as_json(tmp_path, "".join([lines[0], *reversed(lines[1:])])) == as_json(tmp_path, COHEN)


def test_what_is_not_defined_is_null(tmp_path: Path) -> None:
    """Three observers have no Cohen's kappa; one mark only has no coefficient, and agreement of 100 percent."""
    found = as_json(tmp_path, HEAD + "".join(f"i-{who},{what},1,done\n" for who in "123" for what in "abc"))
    assert found["percent"] == {"value": 100.0, "low": 100.0, "high": 100.0}
    for name in ("cohen", "fleiss", "alpha_nominal", "alpha_ordinal", "ac1"):
        assert found[name] is None
    table = run(tmp_path, HEAD + "i-1,a,1,done\ni-2,a,1,done\n").stdout
    assert table.count("not defined") == 7
    assert "not defined" not in run(tmp_path, HEAD + "i-1,a,1,done\ni-2,a,1,done\n", "--format", "csv").stdout


def test_marks_are_ordered_and_not_seen_is_a_missing_mark() -> None:
    """Every mark of this program has its place but for Not seen; capitals do not matter."""
    assert {*ORDER, Marking.NOT_SEEN} == set(Marking)
    marks, problems = read_marks(HEAD + "i,a,1,Stopped\ni,b,1,done\nj,a,1,not-seen\nj,b,1,helped\n")
    assert not problems
    assert marks.scale == (Marking.DONE, Marking.HELPED, Marking.STOPPED)
    assert marks.rows == ((2, None), (0, 1))


def test_numbers_are_ordered_by_value() -> None:
    """10 comes after 9, and 1.0 is 1."""
    marks, problems = read_marks(HEAD + "i,a,1,10\ni,b,1,9\nj,a,1,1.0\nj,b,1,1\ni,c,1,-2\n")
    assert not problems
    assert [int(one) for one in marks.scale if not isinstance(one, str)] == [-2, 1, 9, 10]


def test_the_key_is_no_observer(tmp_path: Path) -> None:
    """What is missed against it is said by performance and criterion."""
    found = as_json(tmp_path, STAGED, "--key", "key", "--critical", "2")
    assert found["observers"] == ["i-01", "i-02"]
    assert found["against_key"] == [
        {
            "observer": "i-01", "units": 4, "percent": 75.0, "critical": 2,
            "missed": [{"performance": "a", "criterion": "2"}],
        },
        {
            "observer": "i-02", "units": 3, "percent": pytest.approx(200 / 3), "critical": 2,
            "missed": [{"performance": "b", "criterion": "2"}],
        },
    ]  # fmt: skip


def test_a_table_for_people_says_it_in_words(tmp_path: Path) -> None:
    """Band, interval, what each mark does, leniency, and the key."""
    lines = run(tmp_path, STAGED, "--key", "key", "--critical", "2").stdout.splitlines()
    assert lines[0] == "2 observers, 2 performances, criteria in them marked by two or more: 3"
    assert any(line.startswith("Cohen's kappa ") and "slight" in line for line in lines)
    assert any("seed 1" in line for line in lines)
    assert any(line.split() == ["i-01", "all", "4", "50%", "33%", "3"] for line in lines)
    assert any(line.endswith("a, criterion 2") for line in lines)


def test_csv_has_a_row_a_coefficient(tmp_path: Path) -> None:
    """For a spreadsheet."""
    rows = list(csv.DictReader(io.StringIO(run(tmp_path, COHEN, "--format", "csv").stdout)))
    (one,) = [row for row in rows if row["coefficient"] == "Cohen's kappa"]
    assert (one["value"], one["low"], one["high"], one["landis_koch"]) == ("0.492", "0.392", "0.591", "moderate")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("i,a,1,dome\n", "row 2, column mark: 'dome' is no mark; did you mean done?"),
        ("i,a,1,\n", "row 2, column mark: it is empty; leave the row out where there is no mark"),
        ("i,a,1,nan\n", "row 2, column mark: 'nan' is no mark"),
        ("i,,1,done\n", "row 2, column performance: it is empty"),
        ("i,a,1,done\nj,a,1,done\ni,a,1,helped\n", "row 4, column mark: i marked criterion 1 of a in row 2 too"),
        ("i,a,1,done\nj,a,1,2\n", "row 3, column mark: there are words and numbers in one file"),
        ("", "row 1: there is no mark; write a row for each"),
        ("".join(f"i,a,{n},{n}\n" for n in range(51)), "row 1, column mark: there are 51 different numbers"),
    ],
)
def test_every_bad_row_is_said_and_nothing_is_computed(tmp_path: Path, text: str, expected: str) -> None:
    """By file, row and column, on standard error; status 2."""
    done = run(tmp_path, HEAD + text)
    assert (done.exit_code, done.stdout) == (2, "")
    assert expected in done.stderr


@pytest.mark.parametrize(
    "words", [("--critical", "2"), ("--key", "nobody"), ("--key", "key", "--critical", "9")], ids=" ".join
)
def test_a_key_that_is_not_there_is_wrong_usage(tmp_path: Path, words: tuple[str, ...]) -> None:
    """Status 2, and it says what is there."""
    assert run(tmp_path, STAGED, *words).exit_code == 2
