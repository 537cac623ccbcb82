"""Sessions and plans on the command line."""

from __future__ import annotations

import json
from pathlib import Path

import click
from click.testing import CliRunner, Result

from mentor_training.errors import NotFound
from mentor_training.planning.commands.planning import plan, sessions
from mentor_training.planning.queries.plan import standing_in
from tests.builders import World
from tests.planning.saturday import put


def run(world: World, command: click.Command, *words: str) -> Result:
    return CliRunner().invoke(command, list(words), obj=world.instance)


def test_what_goes_out_goes_in_again_and_changes_nothing(floor: World, tmp_path: Path) -> None:
    """The same form both ways."""
    file = tmp_path / "sessions.csv"
    file.write_bytes(run(floor, sessions, "export").stdout_bytes)
    assert "1 rows read, 0 of them new or changed" in run(floor, sessions, "import", str(file)).output
    file.write_bytes(file.read_bytes().replace(b"09:50-10:02", b"09:50-10:04"))
    assert "1 rows read, 1 of them new or changed" in run(floor, sessions, "import", str(file)).output


def test_a_broken_row_takes_no_session_in(floor: World, tmp_path: Path) -> None:
    """Status 2, each finding by row and column."""
    file = tmp_path / "sessions.csv"
    row = b"s-12,Week 7,2026-10-24,09:30,11:15,9,balance-line,,,\r\n"
    file.write_bytes(run(floor, sessions, "export").stdout_bytes + row)
    answer = run(floor, sessions, "import", str(file))
    assert answer.exit_code == 2
    assert "row 3, column stations: 'balance-line' is unknown; did you mean balance-lane?" in answer.stderr
    assert "s-12" not in run(floor, sessions, "export").output


def test_the_plan_is_told_as_json_with_what_is_uncovered_and_because(floor: World) -> None:
    """Placements, leads, duties, gaps with their reason, leads that lack."""
    put(floor, 1, "balance-lane", "v-001")
    put(floor, 1, "balance-lane", "v-003", "p-02")
    put(floor, 2, "balance-lane", "v-002", "p-01")
    told = json.loads(run(floor, plan, "s-11", "--format", "json").output)
    assert (told["session"], told["on"], told["edition"], told["proposed"]) == ("s-11", "2026-10-17", 1, False)
    assert told["leads"] == [{"block": 1, "station": "balance-lane", "mentor": "v-001", "level": 3}]
    assert told["placements"][0] == {
        "block": 1, "station": "balance-lane", "mentor": "v-003", "level": 1, "participant": "p-02",
    }  # fmt: skip
    assert [(gap["block"], gap["participant"]) for gap in told["uncovered"]] == [
        (1, "p-01"), (1, "p-03"), (2, "p-02"), (2, "p-03"),
    ]  # fmt: skip
    assert told["uncovered"][0]["because"][0]["cause"] == "not_placed"
    assert told["lacking_leads"] == []


def test_a_proposal_is_shown_without_being_stored_and_stored_when_accepted(floor: World) -> None:
    """`--propose` stores nothing; `--accept` stores just that."""
    proposed = json.loads(run(floor, plan, "s-11", "--propose", "--format", "json").output)
    assert proposed["proposed"]
    with floor.reading() as db:
        assert standing_in(db, "s-11") == ()
    accepted = json.loads(run(floor, plan, "s-11", "--accept", "--format", "json").output)
    for kind in ("placements", "leads", "duties", "uncovered", "lacking_leads"):
        assert accepted[kind] == proposed[kind]
    assert [aim["name"] for aim in proposed["aims"]] == ["covered", "supervised", "changes", "kept", "hours"]
    assert all(aim["proven"] and aim["value"] == aim["bound"] for aim in proposed["aims"])
    assert proposed["seconds"] > 0
    with floor.reading() as db:
        assert len(standing_in(db, "s-11")) == len(accepted["placements"]) + len(accepted["leads"])


def test_the_table_says_what_is_uncovered_and_why(floor: World) -> None:
    """In words, with the nearest and what they lack."""
    put(floor, 1, "balance-lane", "v-001")
    output = run(floor, plan, "s-11").output
    assert "v-001   lead" in output
    assert "6 of 6 participant-blocks uncovered" in output
    assert (
        "block 1, p-03 (Name03): Not placed yet; Person v-002, Person v-003, Person v-005 and 1 more could." in output
    )


def test_accepting_looks_at_nothing_but_now(floor: World) -> None:
    """`--accept` beside `--known-at` is wrong usage."""
    answer = run(floor, plan, "s-11", "--accept", "--known-at", "2026-10-01T00:00:00Z")
    assert answer.exit_code == 2


def test_a_session_that_is_not_there_is_bad_input(floor: World) -> None:
    """Named, for the command line to say so with status 2."""
    assert isinstance(run(floor, plan, "s-99").exception, NotFound)
