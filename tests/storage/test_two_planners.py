"""Two people plan at once: a mentor ends in one place, and who came second is told where."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from mentor_training.journal.queries import entries
from mentor_training.planning.queries.plan import standing_in
from tests.builders import World
from tests.planning.saturday import put, saturday

ROOT = Path(__file__).resolve().parents[2]
LANE, GAMES = ("v-002", "balance-lane", "p-01"), ("v-002", "target-games", "p-02")


@contextmanager
def planner(world: World, *words: str, module: str = "tests.storage.planner") -> Iterator[subprocess.Popen[str]]:
    """Start a process that has the instance open and waits for a line before it places."""
    command = [sys.executable, "-m", module, str(world.instance.settings.folder), *words]
    process = subprocess.Popen(
        command, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    try:
        assert hear(process) == "open"
        yield process
    finally:
        process.kill()
        process.communicate(timeout=30)


def go(process: subprocess.Popen[str]) -> None:
    assert process.stdin is not None
    process.stdin.write("go\n")
    process.stdin.flush()


def hear(process: subprocess.Popen[str]) -> str:
    assert process.stdout is not None
    line = process.stdout.readline().strip()
    assert line, process.communicate(timeout=30)[1]
    return line


def where(world: World) -> list[tuple[str, str, str | None]]:
    with world.reading() as db:
        placed = [one.placed for one in standing_in(db, "s-11")]
        found = [(one.mentor, one.station, one.participant) for one in placed]
        assert len(entries(db, kind="placed")) == len(found)
    return found


def test_the_second_of_two_planners_waits_and_is_told_where_the_mentor_is(stored: World) -> None:
    """The first has placed and not committed; the second decides only after that, on what is there then."""
    saturday(stored)
    with planner(stored, *LANE, "--hold") as first, planner(stored, *GAMES) as second:
        go(first)
        assert hear(first) == "held"
        go(second)
        time.sleep(1)
        assert second.poll() is None
        go(first)
        assert hear(first) == "stored"
        assert hear(second) == "refused Person v-002 is at Balance lane with Name01 in this block already."
    assert where(stored) == [LANE]


@pytest.mark.parametrize("attempt", [1, 2, 3])
def test_of_two_planners_at_the_very_same_time_exactly_one_succeeds(stored: World, attempt: int) -> None:
    """Whoever comes first: one placement, one journal entry, and a reason for the other."""
    saturday(stored)
    with planner(stored, *LANE) as first, planner(stored, *GAMES) as second:
        order = (first, second) if attempt % 2 else (second, first)
        for process in order:
            go(process)
        said = sorted(hear(process) for process in order)
    assert said[1] == "stored"
    assert "Person v-002 is at" in said[0]
    assert where(stored) in ([LANE], [GAMES])


def test_two_planners_do_not_fill_the_last_place_under_one_lead_twice(stored: World) -> None:
    """One lead answers for two supervised mentors, one is there: of two more that come at once, one is refused.

    No constraint of the database would notice; only that the second decides on what the first has stored.
    """
    saturday(stored)
    put(stored, 1, "balance-lane", "v-001")
    put(stored, 1, "balance-lane", "v-003", "p-02")
    one, other = ("v-005", "balance-lane", "p-03"), ("v-006", "balance-lane", "p-03")
    with planner(stored, *one, "--hold") as first, planner(stored, *other) as second:
        go(first)
        assert hear(first) == "held"
        go(second)
        time.sleep(1)
        go(first)
        assert hear(first) == "stored"
        assert "2 at Balance lane do already with 1 on as lead" in hear(second)
    assert one in where(stored)
    assert other not in where(stored)


def test_a_planner_who_is_killed_before_committing_leaves_the_mentor_free(stored: World) -> None:
    """The next one places them at once."""
    saturday(stored)
    with planner(stored, *LANE, "--hold") as first:
        go(first)
        assert hear(first) == "held"
        first.kill()
        first.wait(timeout=30)
    with planner(stored, *GAMES) as second:
        go(second)
        assert hear(second) == "stored"
    assert where(stored) == [GAMES]
