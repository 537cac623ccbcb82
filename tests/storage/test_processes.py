"""Several processes write at once, and one is killed: nothing is lost, nothing is half there, the chain holds."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from sqlalchemy import select

from mentor_training.evidence.tables import Record
from mentor_training.journal.queries import prove_chain
from tests.builders import World

ROOT = Path(__file__).resolve().parents[2]
EACH = 40


@contextmanager
def writer(world: World, person: str, count: int, *words: str) -> Iterator[subprocess.Popen[str]]:
    """Start a process that has the instance open and waits for a line before it writes."""
    command = [sys.executable, "-m", "tests.storage.writer", str(world.instance.settings.folder), person, str(count)]
    process = subprocess.Popen(
        [*command, *words], cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    try:
        assert read_line(process) == "open"
        yield process
    finally:
        process.kill()
        process.communicate(timeout=30)


def go(process: subprocess.Popen[str]) -> None:
    assert process.stdin is not None
    process.stdin.write("go\n")
    process.stdin.flush()


def read_line(process: subprocess.Popen[str]) -> str:
    assert process.stdout is not None
    line = process.stdout.readline().strip()
    assert line, process.communicate(timeout=30)[1]
    return line


def notes_of(world: World, person: str) -> list[str]:
    """Return what one person's records say, in the order of their numbers."""
    with world.reading() as db:
        return list(db.scalars(select(Record.note).where(Record.person == person).order_by(Record.number)))


def check_chain(world: World) -> int:
    """Hold the chain to be whole, with exactly one entry for each record, and return its length."""
    with world.reading() as db:
        proof = prove_chain(db)
        numbers = list(db.scalars(select(Record.number).order_by(Record.number)))
    assert proof.broken is None
    assert numbers == list(range(1, len(numbers) + 1))
    return proof.entries


def test_two_processes_that_write_at_once_lose_nothing(stored: World) -> None:
    """Each finds its own records in its own order, codes are unique, and the chain holds all of them."""
    people = [stored.add_person("v-001"), stored.add_person("v-002")]
    with writer(stored, people[0], EACH) as first, writer(stored, people[1], EACH) as second:
        for process in (first, second):
            go(process)
        ends = [process.communicate(timeout=120) for process in (first, second)]
        assert [process.returncode for process in (first, second)] == [0, 0], ends
    for person in people:
        assert notes_of(stored, person) == [str(number) for number in range(EACH)]
    assert check_chain(stored) == 2 * EACH + 2


def test_a_process_killed_in_the_middle_of_a_transaction_leaves_no_trace_of_it(stored: World) -> None:
    """Row and entry were sent and not committed: neither is there, and the next writer goes on at once."""
    stored.add_person("v-001")
    with writer(stored, "v-001", 3, "--hold") as process:
        go(process)
        assert read_line(process) == "held"
        process.kill()
        process.wait(timeout=30)
    started = time.monotonic()
    stored.hold("v-001", "module/safety")
    assert time.monotonic() - started < 10
    assert notes_of(stored, "v-001") == ["0", "1", "2", ""]
    assert check_chain(stored) == 5


@pytest.mark.parametrize("seconds", [0.02, 0.11, 0.23])
def test_a_process_killed_at_any_time_leaves_a_whole_chain(stored: World, seconds: float) -> None:
    """However far it came: what is committed is there with its entry, in order, and what is not is not."""
    stored.add_person("v-001")
    with writer(stored, "v-001", 100_000) as process:
        go(process)
        time.sleep(seconds)
        process.kill()
        process.wait(timeout=30)
    written = notes_of(stored, "v-001")
    assert written == [str(number) for number in range(len(written))]
    assert check_chain(stored) == len(written) + 1
    stored.hold("v-001", "module/safety")
    assert check_chain(stored) == len(written) + 2
