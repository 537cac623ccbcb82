"""Background work on the command line."""

from __future__ import annotations

import json
from threading import Thread
from time import sleep
from typing import Any

from click.testing import CliRunner, Result

from mentor_training.errors import NotFound, Refused
from mentor_training.jobs.commands import jobs
from mentor_training.jobs.rules import STOPPED
from mentor_training.jobs.work import Work
from mentor_training.jobs.worker import Worker
from tests.builders import World
from tests.jobs.working import ask, kind, seen, work_off


def run(world: World, *words: str) -> Result:
    return CliRunner().invoke(jobs, list(words), obj=world.instance)


def test_jobs_are_listed_newest_first(world: World) -> None:
    """With what each is about, who asked, and how it stands."""
    ask(world)
    ask(world, "count/sheep")
    told = json.loads(run(world, "list", "--format", "json").output)["jobs"]
    assert [(one["job"], one["about"], one["asked by"], one["state"]) for one in told] == [
        (2, "sheep", "c-01", "waiting"), (1, "all", "c-01", "waiting"),
    ]  # fmt: skip


def test_waiting_shows_how_far_it_is_and_ends_when_it_is_done(world: World) -> None:
    """Each step that is seen is a line; the result of waiting is the last."""

    def counts(work: Work) -> Any:
        work.progress(1, 2)
        work.step("counting")
        sleep(2)

    number = ask(world)
    worker = Worker(world.instance, kind(counts))
    thread = Thread(target=worker.run_one)
    thread.start()
    answer = run(world, "wait", str(number))
    thread.join()
    assert answer.exit_code == 0
    assert "job 1: 1 of 2; 0 s: counting" in answer.stderr
    assert answer.stdout.startswith("job 1 is done, in ")


def test_waiting_for_what_is_refused_gives_the_reasons(world: World) -> None:
    """As any other refusal."""

    def refuses(work: Work) -> Any:
        raise Refused("There is nothing to count.")

    number = ask(world)
    work_off(world, kind(refuses))
    answer = run(world, "wait", str(number))
    assert isinstance(answer.exception, Refused)
    assert answer.exception.reasons == ("job 1 was not done", "There is nothing to count.")


def test_waiting_no_longer_than_one_wants(world: World) -> None:
    """The job goes on."""
    answer = run(world, "wait", str(ask(world)), "--seconds", "0")
    assert isinstance(answer.exception, Refused)
    assert "goes on" in answer.exception.reasons[0]


def test_a_job_is_stopped_and_one_that_has_ended_is_not(world: World) -> None:
    """And there is none by a number that nobody was given."""
    number = ask(world)
    assert run(world, "stop", str(number)).output == "job 1 was stopped\n"
    assert seen(world, number).state == STOPPED
    assert isinstance(run(world, "stop", str(number)).exception, Refused)
    assert isinstance(run(world, "stop", "99").exception, NotFound)
