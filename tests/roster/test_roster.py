"""The roster exchange: what is wrong, what would change, what is stored, and the results that go back."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from mentor_training.journal.queries import entries
from mentor_training.people.queries import person_for
from mentor_training.roster.commands import roster
from mentor_training.roster.packing import packed
from mentor_training.roster.reading import read_roster
from tests.builders import World
from tests.hours.term import add_people, approved, stated
from tests.roster.files import FILES
from tests.sign_in import Visitor


@pytest.fixture
def term(world: World) -> World:
    return add_people(world)


def folder_of(folder: Path, texts: dict[str, str]) -> str:
    for name, text in texts.items():
        (folder / f"{name}.csv").write_bytes(text.encode())
    return str(folder)


def rows_of(path: Path) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(path.read_bytes().decode(), newline="")))


def run(world: World, *words: str) -> Result:
    return CliRunner().invoke(roster, list(words), obj=world.instance)


def test_a_whole_roster_has_no_findings() -> None:
    """Columns that nobody here asks for are passed over."""
    assert read_roster(FILES).findings == []


@pytest.mark.parametrize(
    ("file", "old", "new", "said"),
    [
        ("enrollments", "e2,,,c1,o1,u2", "e2,,,c1,o1,u9", "enrollments.csv: row 3, column userSourcedId: 'u9'"),
        ("classes", ",scheduled,o1,t1\r\nc2", ',scheduled,o1,"t1,t7"\r\nc2', "row 2, column termSourcedIds: 't7'"),
        ("users", "nerys.wend@marrowdale.example", "nerys", "users.csv: row 3, column email: 'nerys' is no e-mail"),
        ("users", "u2,,", "u1,,", "users.csv: row 3, column sourcedId: 'u1' stands in row 2 too"),
        ("academicSessions", "2026-12-12", "2026-12-32", "academicSessions.csv: row 2, column endDate"),
        ("orgs", ",school,", ",club,", "orgs.csv: row 2, column type: 'club' is unknown"),
        ("manifest", "file.users,bulk", "file.users,delta", "manifest.csv: row 5, column value: users is a delta"),
        ("manifest", "file.users,bulk", "file.users,absent", "users is said to be absent"),
        ("manifest", "version,1.2", "version,1.1", "oneroster.version is 1.1; write 1.2"),
        ("classes", "classType", "kind", "classes.csv: row 1, column classType: this column is missing"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said_by_file_row_and_column(file: str, old: str, new: str, said: str) -> None:
    """Every reference leads to a row of the set; a set is whole."""
    assert old in FILES[file]
    findings = [str(one) for one in read_roster({**FILES, file: FILES[file].replace(old, new)}).findings]
    assert any(said in one for one in findings), findings


def test_a_missing_file_is_a_finding() -> None:
    """By its name, with those that a roster needs."""
    texts = {name: text for name, text in FILES.items() if name != "classes"}
    assert any(str(one).startswith("classes.csv: row 1: the file is missing") for one in read_roster(texts).findings)


def test_a_roster_is_shown_first_and_stored_only_when_told(term: World, tmp_path: Path) -> None:
    """Who is new, who differs, who stays; nobody is taken away, and a second time nothing changes."""
    files = folder_of(tmp_path, FILES)
    shown = run(term, "import", files)
    assert shown.exit_code == 0, shown.output
    assert "v-001  name: Odalys Brannagh becomes Odalys Brannagh-Tull" in shown.output
    assert "v-050  new: Nerys Wend, nerys.wend@marrowdale.example, volunteer of KIN-372-A" in shown.output
    assert "Teodor Łęcki (v-002) is in section KIN-372-A and not in the roster; they stay in it" in shown.output
    assert "passed over, class c2: no course of the program has a section of that code" in shown.output
    assert "2 of 3 people would be new or changed; nothing was stored" in shown.output
    with term.reading() as db:
        assert person_for(db, "v-001").name == "Odalys Brannagh"
    assert "2 of 3 people are new or changed" in run(term, "import", files, "--yes").output
    with term.reading() as db:
        assert person_for(db, "v-050").sections == ("KIN-372-A",)
        assert person_for(db, "v-002").sections == ("KIN-372-A",)
        assert [one.who for one in entries(db, kind="roster-taken-in")] == ["console"]
    assert "0 of 3 people are new or changed" in run(term, "import", files, "--yes").output


def test_a_student_whom_the_registrar_drops_is_named_and_stays(term: World, tmp_path: Path) -> None:
    """Left out of the file, or marked in it: who that is, is said before and after, and nothing is deleted."""
    taken = folder_of(tmp_path, FILES)
    assert run(term, "import", taken, "--yes").exit_code == 0
    dropped = FILES["enrollments"].replace("e2,,,c1,o1,u2,student\r\n", "")
    marked = FILES["enrollments"].replace("e2,,,c1", "e2,tobedeleted,,c1")
    for text in (dropped, marked):
        files = folder_of(tmp_path, {**FILES, "enrollments": text})
        for more in ((), ("--yes",)):
            said = run(term, "import", files, *more).output
            assert "Nerys Wend (v-050) is in section KIN-372-A and not in the roster; they stay in it" in said
            assert ("user u2: the enrollment is marked to be deleted; nobody is taken away here" in said) is (
                text is marked
            )
    with term.reading() as db:
        assert person_for(db, "v-050").sections == ("KIN-372-A",)


def test_with_a_finding_nothing_is_stored(term: World, tmp_path: Path) -> None:
    """Status 2, and the finding on standard error."""
    wrong = FILES["users"].replace("nerys.wend@marrowdale.example", "nerys")
    done = run(term, "import", folder_of(tmp_path, {**FILES, "users": wrong}), "--yes")
    assert done.exit_code == 2
    assert "users.csv: row 3, column email" in done.stderr
    twice = FILES["users"].replace("v-050,nerys.wend@", ",v-001@")
    done = run(term, "import", folder_of(tmp_path, {**FILES, "users": twice}), "--yes")
    assert "users.csv: row 3, column email: two users with the address" in done.stderr
    with term.reading() as db:
        assert person_for(db, "v-001").name == "Odalys Brannagh"


def test_results_go_back_under_the_rosters_own_names(term: World, tmp_path: Path) -> None:
    """Hours as the statements have them, modules once completed; every reference leads to a row of the set."""
    approved(term, "v-001", 97, 60)
    stated(term)
    term.hold("v-001", "module/safety")
    out = tmp_path / "out"
    done = run(term, "export", "KIN-372-A", "--roster", folder_of(tmp_path, FILES), "--output", str(out))
    assert done.exit_code == 0, done.output
    read = {path.stem: rows_of(path) for path in out.iterdir()}
    assert sorted(read) == ["categories", "lineItems", "manifest", "results"]
    items = {row["sourcedId"]: row for row in read["lineItems"]}
    hours = items["c1-hours-direct"]
    assert (hours["classSourcedId"], hours["assignDate"], hours["resultValueMax"]) == ("c1", "2026-08-24", "10.00")
    results = {row["lineItemSourcedId"]: row for row in read["results"]}
    assert (results["c1-hours-direct"]["score"], results["c1-hours-direct"]["scoreStatus"]) == ("2.50", "fully graded")
    assert (results["c1-modules-safety"]["score"], results["c1-modules-safety"]["scoreDate"]) == ("1", "2026-09-01")
    assert {row["studentSourcedId"] for row in read["results"]} == {"u1"}
    assert set(results) <= set(items)
    assert {row["categorySourcedId"] for row in items.values()} <= {row["sourcedId"] for row in read["categories"]}


def test_the_page_shows_then_stores_and_gives_results(term: World, visitor: Callable[[str], Visitor]) -> None:
    """As the command does; what is no ZIP is said beside the field."""
    who = visitor("c-01")

    def send(content: bytes, then: str) -> object:
        return who.send("/roster", "/roster", file=(io.BytesIO(content), "roster.zip"), then=then)

    answer = send(packed(FILES), "look")
    assert "Odalys Brannagh becomes Odalys Brannagh-Tull" in answer.text  # type: ignore[attr-defined]
    assert "cannot be unpacked" in send(b"no", "look").text  # type: ignore[attr-defined]
    assert send(packed(FILES), "results:KIN-372-A").mimetype == "application/zip"  # type: ignore[attr-defined]
    assert send(packed(FILES), "take").status_code == 303  # type: ignore[attr-defined]
    broken = {**FILES, "users": FILES["users"].replace("u2,,", "u1,,")}
    assert "stands in row 2 too" in send(packed(broken), "take").text  # type: ignore[attr-defined]
