"""Scans when a process dies in the middle, and when two act at once: no row without its end, no file without a row."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.journal.queries import entries, find_break
from mentor_training.papers.actions.deciding import verify
from mentor_training.papers.actions.scans import add_scan, sweep
from mentor_training.papers.rules import Seen
from mentor_training.papers.tables import Scan, ScanDeletion
from mentor_training.people.permissions import CONSOLE
from tests.builders import FRIDAY, NOON, World
from tests.papers.desk import ISSUED, PLAIN, ZONE, actor, check, folder, lay_out, put, swept
from tests.storage.dying_desk import DIED
from tests.storage.test_two_approvers import at_once

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def desk(stored: World) -> World:
    """Give the desk, on each of the two databases."""
    return lay_out(stored)


def die(world: World, what: str) -> None:
    where, moment = str(world.instance.settings.folder), world.clock.now().isoformat()
    command = [sys.executable, "-m", "tests.storage.dying_desk", where, moment, what]
    ended = subprocess.run(command, cwd=ROOT, check=False, capture_output=True, text=True, timeout=120)
    assert ended.returncode == DIED, ended.stderr


def rows(world: World) -> tuple[int, int]:
    """Return how many scans there are, and how many deletions."""
    with world.reading() as db:
        assert find_break(db) is None
        return len(db.scalars(select(Scan)).all()), len(db.scalars(select(ScanDeletion)).all())


def test_a_process_that_dies_before_it_commits_leaves_a_file_that_the_next_sweep_takes(desk: World) -> None:
    """The file was on the disk first, and no row came."""
    put(desk, scan=False)
    die(desk, "keep")
    assert (rows(desk), len(folder(desk).names())) == ((0, 0), 1)
    assert swept(desk).strays == 1
    assert folder(desk).names() == frozenset()


def test_a_process_that_dies_between_the_verification_and_the_deletion_is_made_up_for(desk: World) -> None:
    """Verified and not swept; then swept half, with the file gone and no row; then whole, and written down once."""
    check(desk, put(desk))
    die(desk, "sweep")
    assert (rows(desk), folder(desk).names()) == ((1, 0), frozenset())
    assert [one.because for one in swept(desk).deleted] == ["decided"]
    assert rows(desk) == (1, 1)
    with desk.reading() as db:
        assert len(entries(db, kind="scan-deleted")) == 1


def test_two_who_verify_and_sweep_at_once_do_it_once(desk: World) -> None:
    """One verifies, the other hears so; one deletes, the other finds nothing to delete."""
    number, by = put(desk), actor(desk, "c-01")
    seen = Seen(ISSUED, None, hands_on=True)
    assert at_once(desk, lambda db: verify(db, NOON, FRIDAY, by, number, seen)) == ["done", "refused"]
    assert at_once(desk, lambda db: sweep(db, NOON, ZONE, CONSOLE, folder(desk))) == ["done", "done"]
    assert (rows(desk), folder(desk).names()) == ((1, 1), frozenset())


def test_a_sweep_beside_an_upload_does_not_take_its_file(desk: World) -> None:
    """It waits for its turn: a file whose row is about to come is no stray, however the two fall together."""
    papers, by = ("cpr-card", "first-aid-card", "photo-choice"), actor(desk, "v-001")
    for number in [put(desk, paper, scan=False) for paper in papers]:
        turns = iter((True, False))

        def act(db: Session, number: int = number, turns: Iterator[bool] = turns) -> None:
            if next(turns):
                add_scan(db, NOON, ZONE, by, number, folder(desk), PLAIN)
            else:
                sweep(db, NOON, ZONE, CONSOLE, folder(desk))

        assert at_once(desk, act) == ["done", "done"]
    assert rows(desk) == (3, 0)
    assert len(folder(desk).names()) == 3
