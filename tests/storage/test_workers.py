"""Several workers at one queue, and one that is killed in the middle: each job is done, and nothing of it twice."""

from __future__ import annotations

import signal
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path
from threading import Barrier, Thread

from sqlalchemy import select

from mentor_training.clock import FixedClock, SystemClock
from mentor_training.jobs.actions import enqueue
from mentor_training.jobs.queries import anything_due, newest_of, seen_jobs
from mentor_training.jobs.rules import DONE, LEASE, RUNNING, WAITING
from mentor_training.jobs.worker import Worker
from mentor_training.people.queries import person_for
from mentor_training.people.tables import SignInTry
from tests.builders import World
from tests.jobs.working import EIGHT, ask, kind, seen
from tests.planning.saturday import saturday
from tests.storage.counter import counting

ROOT = Path(__file__).resolve().parents[2]
JOBS = 30


@contextmanager
def process(*words: str) -> Iterator[subprocess.Popen[str]]:
    pipe = subprocess.PIPE
    one = subprocess.Popen([sys.executable, "-m", *words], cwd=ROOT, stdin=pipe, stdout=pipe, stderr=pipe, text=True)
    try:
        yield one
    finally:
        one.kill()
        one.communicate(timeout=30)


def counter(world: World, *words: str) -> tuple[str, ...]:
    return ("tests.storage.counter", str(world.instance.settings.folder), *words)


def go(*processes: subprocess.Popen[str]) -> None:
    for one in processes:
        assert hear(one) == "open"
    for one in processes:
        assert one.stdin is not None
        one.stdin.write("go\n")
        one.stdin.flush()


def hear(one: subprocess.Popen[str]) -> str:
    assert one.stdout is not None
    line = one.stdout.readline().strip()
    assert line, one.communicate(timeout=30)[1]
    return line


def stored_by(world: World) -> list[tuple[str, str]]:
    with world.reading() as db:
        return [(row.email, row.client) for row in db.scalars(select(SignInTry).order_by(SignInTry.id))]


def test_two_workers_never_take_the_same_job(stored: World) -> None:
    """Three processes empty the queue: each job is done by one of them, at its first attempt."""
    with stored.writing() as db:
        for number in range(JOBS):
            enqueue(db, stored.clock.now(), "c-01", "count", {"up_to": 2}, f"count/{number}")
    with process(*counter(stored)) as one, process(*counter(stored)) as two, process(*counter(stored)) as three:
        go(one, two, three)
        assert [hear(each) for each in (one, two, three)] == ["over"] * 3
    with stored.reading() as db:
        jobs = seen_jobs(db, "", sees_all=True)
        assert [(job.state, job.attempts) for job in jobs] == [(DONE, 1)] * JOBS
        who = {str(job.number): job.result for job in jobs}
    assert len(set(who.values())) > 1
    found = stored_by(stored)
    assert Counter(what.partition("/")[0] for what, _ in found) == Counter(dict.fromkeys(who, 2))
    assert all(who[what.partition("/")[0]] == name for what, name in found)


def test_a_job_whose_worker_is_killed_is_taken_up_again_and_stores_nothing_twice(stored: World) -> None:
    """Killed after the second of five: nobody has it until the lease is over, then another does the other three."""
    number = ask(stored, up_to=5)
    with process(*counter(stored, "--hang")) as dying:
        go(dying)
        assert hear(dying) == "begun"
        dying.send_signal(signal.SIGKILL)
        dying.wait(timeout=30)
    left = seen(stored, number)
    assert (left.state, left.attempts, left.result) == (RUNNING, 1, None)
    clock = FixedClock(SystemClock().now())
    other = Worker(stored.instance, kind(counting("other", hang=False)), clock)
    assert not other.run_one()
    clock.moment += LEASE + timedelta(seconds=1)
    assert other.run_one()
    job = seen(stored, number)
    assert (job.state, job.attempts, job.result) == (DONE, 2, "other")
    found = stored_by(stored)
    assert [what for what, _ in found] == [f"{number}/{each}" for each in range(1, 6)]
    assert [name for _, name in found] == [left.worker] * 2 + ["other"] * 3


def test_a_job_is_there_with_the_data_it_was_asked_with_or_not_at_all(stored: World) -> None:
    """Asked for in a transaction that is rolled back, there never was one."""
    stored.add_person("i-01", "course-instructor")
    with stored.instance.database.open_writer() as db:
        person_for(db, "i-01").name = "Nobody"
        enqueue(db, stored.clock.now(), "i-01", "count", {}, "count/all")
        db.rollback()
    with stored.reading() as db:
        assert newest_of(db, "count/all") is None
        assert person_for(db, "i-01").name == "Person i-01"
    with stored.writing() as db:
        person_for(db, "i-01").name = "Somebody"
        enqueue(db, stored.clock.now(), "i-01", "count", {}, "count/all")
    with stored.reading() as db:
        assert newest_of(db, "count/all") is not None
        assert person_for(db, "i-01").name == "Somebody"


def test_what_is_not_committed_is_seen_by_no_worker(stored: World) -> None:
    """Nobody begins a job before its data can be read."""

    def is_due() -> bool:
        with stored.reading() as db:
            return anything_due(db, EIGHT, ["count"])

    with stored.writing() as db:
        enqueue(db, stored.clock.now(), "c-01", "count", {}, "count/all")
        assert not is_due()
    assert is_due()


def test_asked_for_by_two_in_the_same_moment_there_is_one_job(stored: World) -> None:
    """The database holds one open key, and both are led to it."""
    numbers, together = [], Barrier(2)

    def asks() -> None:
        together.wait()
        numbers.append(ask(stored))

    both = [Thread(target=asks) for _ in range(2)]
    for each in both:
        each.start()
    for each in both:
        each.join(30)
    assert len(numbers) == 2
    assert len(set(numbers)) == 1


def test_a_worker_of_the_command_line_finds_a_plan_and_ends_when_told(stored: World) -> None:
    """`jobs wait` ends with it; SIGTERM ends the worker with status 0."""
    saturday(stored)
    with stored.writing() as db:
        asked = {"session": "s-11", "seconds": 10}
        number = enqueue(db, stored.clock.now(), "c-01", "best-plan", asked, "best-plan/s-11").number
    folder = str(stored.instance.settings.folder)
    with process("mentor_training", "--instance", folder, "work") as worker:
        assert "waits for work" in hear(worker)
        waited = subprocess.run(
            [sys.executable, "-m", "mentor_training", "--instance", folder, "jobs", "wait", str(number)],
            cwd=ROOT, capture_output=True, text=True, check=False, timeout=60,
        )  # fmt: skip
        assert waited.returncode == 0, waited.stderr
        assert waited.stdout.startswith(f"job {number} is done, in ")
        worker.send_signal(signal.SIGTERM)
        assert worker.wait(timeout=30) == 0
    assert len(seen(stored, number).result["added"]) >= 4


def test_the_server_has_a_worker_of_its_own_that_ends_with_it(stored: World) -> None:
    """What is asked for is done with nobody else there; with --no-worker it waits."""
    saturday(stored)
    asked = {"session": "s-11", "seconds": 10}
    serve = ("mentor_training", "--instance", str(stored.instance.settings.folder), "serve", "--port", "0")
    for words, state in ((("--no-worker",), WAITING), ((), DONE)):
        with stored.writing() as db:
            number = enqueue(db, stored.clock.now(), "c-01", "best-plan", asked, "best-plan/s-11").number
        with process(*serve, *words) as server:
            assert "is served on" in hear(server)
            ends = time.monotonic() + (2 if words else 60)
            while seen(stored, number).state != DONE and time.monotonic() < ends:
                time.sleep(0.1)
            assert seen(stored, number).state == state
            server.send_signal(signal.SIGINT)
            assert server.wait(timeout=30) == 0
