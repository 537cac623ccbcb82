"""The journal on the command line."""

from __future__ import annotations

import csv
import io
import json

from click.testing import CliRunner, Result

from mentor_training.journal.chain import FIRST
from mentor_training.journal.commands import COLUMNS, journal
from mentor_training.journal.queries import head
from tests.builders import World
from tests.journal.test_stored import fill, tamper


def run(world: World, *words: str) -> Result:
    return CliRunner().invoke(journal, list(words), obj=world.instance)


def test_verify_prints_the_number_of_entries_and_the_head(world: World) -> None:
    """Exit status 0: the chain holds."""
    fill(world, 3)
    with world.reading() as db:
        newest = head(db)
    done = run(world, "verify")
    assert (done.exit_code, done.output) == (0, f"the chain holds: 3 entries, head {newest}\n")


def test_verify_of_an_empty_journal_says_so(world: World) -> None:
    """Nothing is there, and nothing is wrong."""
    assert run(world, "verify").output == f"the chain holds: 0 entries, head {FIRST}\n"


def test_verify_names_the_entry_at_which_the_chain_breaks(world: World) -> None:
    """Exit status 1, and how far it holds."""
    fill(world, 5)
    tamper(world, "UPDATE journal_entry SET kind = 'seen' WHERE number = 3")
    done = run(world, "verify")
    assert done.exit_code == 1
    assert "the chain breaks at entry 3: its own hash does not match what it says" in done.output
    assert "2 entries before it hold" in done.output


def test_verify_misses_a_head_noted_before_the_end_was_cut_off(world: World) -> None:
    """What is left holds; only the head printed on a statement gives it away."""
    fill(world, 5)
    with world.reading() as db:
        newest = head(db)
    assert run(world, "verify", "--head", newest).exit_code == 0
    tamper(world, "DELETE FROM journal_entry WHERE number = 5")
    assert run(world, "verify").exit_code == 0
    done = run(world, "verify", "--head", newest)
    assert done.exit_code == 1
    assert "cut off or written anew" in done.output


def test_show_prints_the_same_entries_as_table_json_and_csv(world: World) -> None:
    """Newest first; JSON and CSV carry the hashes as well, so that anybody can prove the chain by other means."""
    fill(world, 4)
    table = run(world, "show", "--kind", "noted").output.splitlines()
    as_json = json.loads(run(world, "show", "--kind", "noted", "--format", "json").output)
    as_csv = list(csv.DictReader(io.StringIO(run(world, "show", "--kind", "noted", "--format", "csv").output)))
    assert [line.split()[0] for line in table] == ["number", "3", "1"]
    assert [row["number"] for row in as_json] == [3, 1]
    assert as_json[0]["record"] == '{"place":2}'
    assert list(as_csv[0]) == list(COLUMNS)
    assert [row["hash"] for row in as_csv] == [row["hash"] for row in as_json]


def test_show_stops_at_a_moment_and_a_number(world: World) -> None:
    """--known-at and --most."""
    fill(world, 6)
    shown = run(world, "show", "--known-at", "2026-10-16T16:03:00Z", "--most", "2", "--format", "json").output
    assert [row["number"] for row in json.loads(shown)] == [4, 3]
