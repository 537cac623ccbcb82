"""Two coordinators store a series of the same codes at once: one is stored whole, of the other nothing."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from mentor_training.calendar.queries import sessions
from mentor_training.journal.queries import entries
from tests.builders import World
from tests.storage.series_maker import SERIES

ROOT = Path(__file__).resolve().parents[2]


def begin(world: World) -> subprocess.Popen[str]:
    """Start a process that has the instance open and waits for a line before it stores."""
    command = [sys.executable, "-m", "tests.storage.series_maker", str(world.instance.settings.folder)]
    pipe = subprocess.PIPE
    return subprocess.Popen(command, cwd=ROOT, stdin=pipe, stdout=pipe, stderr=pipe, text=True)


def test_of_two_series_with_the_same_codes_exactly_one_is_stored(stored: World) -> None:
    """The other is told of each code that is taken, on both databases."""
    with begin(stored) as one, begin(stored) as other:
        for process in (one, other):
            assert process.stdout
            assert process.stdout.readline() == "open\n"
        for process in (one, other):
            assert process.stdin
            process.stdin.write("go\n")
            process.stdin.flush()
        said = sorted(process.communicate(timeout=60)[0] for process in (one, other))
    assert said == ["refused 20: s-12 is there already; choose another code.\n", "stored\n"]
    with stored.reading() as db:
        assert [found.code for found in sessions(db)] == [made.code for made in SERIES]
        assert len(entries(db, kind="session-series")) == 1
