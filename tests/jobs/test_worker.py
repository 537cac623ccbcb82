"""A worker: takes jobs, says how far it is, stores what came of it, and takes up what another left."""

from __future__ import annotations

from datetime import timedelta
from threading import Event, Thread
from time import sleep
from typing import Any

import pytest

from mentor_training.clock import FixedClock
from mentor_training.errors import Refused
from mentor_training.jobs.actions import Lost, beat, take, wish_stop
from mentor_training.jobs.queries import job_for
from mentor_training.jobs.rules import (
    DONE,
    FAILED,
    KEPT,
    LEASE,
    MOST_ATTEMPTS,
    REFUSED,
    REST,
    RUNNING,
    STOPPED,
    WAITING,
)
from mentor_training.jobs.work import Work
from mentor_training.jobs.worker import Pulse, Worker
from mentor_training.people.tables import SignInTry
from tests.builders import World
from tests.jobs.working import EIGHT, ask, kind, returns, seen, worker

SOON = timedelta(milliseconds=10)


def never(work: Work) -> Any:
    raise AssertionError("nobody should have come to this")


def breaks(work: Work) -> Any:
    raise ZeroDivisionError(work.taken.ticket.number)


def test_a_job_is_done_and_keeps_what_came_of_it(world: World) -> None:
    """Its result is what the handler returned, its steps are kept, and it is not done again."""

    def count(work: Work) -> Any:
        work.step("counting")
        return {"counted": work.arguments["up_to"]}

    number = ask(world, up_to=7)
    one = worker(world, count)
    assert one.run_one()
    job = seen(world, number)
    assert (job.state, job.result, job.words, job.attempts) == (DONE, {"counted": 7}, "0 s: counting", 1)
    assert not one.run_one()


def test_jobs_are_done_in_the_order_in_which_they_were_asked_for(world: World) -> None:
    """One after the other."""
    done: list[str] = []
    for key in ("a", "b", "c"):
        ask(world, key, name=key)
    one = worker(world, lambda work: done.append(work.arguments["name"]))
    while one.run_one():
        pass
    assert done == ["a", "b", "c"]


def test_asked_for_again_while_it_is_open_it_is_the_same_job_and_afterwards_another(world: World) -> None:
    """The key is what it is about."""
    number = ask(world)
    assert ask(world) == number
    assert ask(world, "count/other") != number
    worker(world, returns(None)).run_one()
    assert ask(world) != number


def test_a_refusal_is_kept_with_its_reasons(world: World) -> None:
    """And is not tried again: the rules would say the same."""

    def refuses(work: Work) -> Any:
        raise Refused("There is nothing to count.", "And nobody to do it.")

    number = ask(world)
    one = worker(world, refuses)
    one.run_one()
    assert not one.run_one()
    job = seen(world, number)
    assert (job.state, job.result) == (REFUSED, ["There is nothing to count.", "And nobody to do it."])


def test_where_the_program_fails_it_is_tried_again_after_a_rest_and_then_fails_in_words(
    world: World, caplog: pytest.LogCaptureFixture
) -> None:
    """What was raised is told where the worker runs; the job says nothing of it but that it did not come to an end."""
    number, clock = ask(world), FixedClock(EIGHT)
    one = worker(world, breaks, clock)
    for attempt in range(1, MOST_ATTEMPTS + 1):
        assert one.run_one()
        assert not one.run_one()
        assert seen(world, number).attempts == attempt
        clock.forward(seconds=REST.total_seconds() + 1)
    assert not one.run_one()
    job = seen(world, number)
    assert job.state == FAILED
    assert f"begun {MOST_ATTEMPTS} times" in job.result[0]
    assert "ZeroDivisionError" in caplog.text


def test_what_another_worker_left_is_taken_up_once_its_lease_is_over(world: World) -> None:
    """And not while the lease runs; whoever had it can store nothing any more."""
    number, clock = ask(world), FixedClock(EIGHT)
    with world.writing() as db:
        taken = take(db, EIGHT, "dead", ["count"])
    assert taken is not None
    one = worker(world, returns("done"), clock)
    clock.moment = EIGHT + LEASE
    assert not one.run_one()
    clock.forward(seconds=1)
    assert one.run_one()
    job = seen(world, number)
    assert (job.state, job.result, job.attempts) == (DONE, "done", 2)
    with world.writing() as db, pytest.raises(Lost):
        beat(db, clock.now(), taken.ticket, 1, 2, "")


def test_whoever_lost_a_job_stores_nothing(world: World) -> None:
    """Neither by the handler's own acts nor as its result: the worker that has it now is the one that counts."""
    clock, number = FixedClock(EIGHT), ask(world)

    def overtaken(work: Work) -> Any:
        with world.writing() as db:
            assert take(db, EIGHT + LEASE + SOON, "faster", ["count"])
        with work.storing() as db:
            db.add(SignInTry(email="x@marrowdale.example", moment=EIGHT, succeeded=False))
        return "late"

    assert worker(world, overtaken, clock).run_one()
    job = seen(world, number)
    assert (job.state, job.worker, job.result) == (RUNNING, "faster", None)
    with world.reading() as db:
        assert db.query(SignInTry).count() == 0


def test_a_beat_says_how_far_it_is_and_hears_the_wish_to_stop(world: World) -> None:
    """The handler asks whether it is to stop, and returns the best so far."""
    clock, number = FixedClock(EIGHT), ask(world)

    def counts(work: Work) -> Any:
        work.progress(3, 10)
        work.step("counting")
        pulse = Pulse(one, work)
        pulse.once()
        assert not work.stopped()
        job = seen(world, number)
        assert (job.state, job.done, job.total, job.words) == (RUNNING, 3, 10, "0 s: counting")
        clock.forward(seconds=4)
        with world.writing() as db:
            wish_stop(db, clock.now(), job_for(db, number, "c-01", sees_all=False))
        pulse.once()
        assert seen(world, number).lease_until == clock.now() + LEASE
        assert work.stopped()
        return "three"

    one = worker(world, counts, clock)
    one.run_one()
    assert (seen(world, number).state, seen(world, number).result) == (DONE, "three")


def test_a_job_that_nobody_has_begun_stops_at_once(world: World) -> None:
    """And is never begun."""
    number = ask(world)
    with world.writing() as db:
        wish_stop(db, EIGHT, job_for(db, number, "c-01", sees_all=False))
    assert seen(world, number).state == STOPPED
    assert not worker(world, never).run_one()
    assert ask(world) != number


def test_one_that_is_to_stop_and_whose_worker_died_ends_as_stopped(world: World) -> None:
    """It is not begun again."""
    number = ask(world)
    with world.writing() as db:
        take(db, EIGHT, "dead", ["count"])
        wish_stop(db, EIGHT, job_for(db, number, "c-01", sees_all=False))
    assert not worker(world, never, FixedClock(EIGHT + LEASE + SOON)).run_one()
    assert seen(world, number).state == STOPPED


def test_a_worker_takes_only_what_it_can_do(world: World) -> None:
    """Another kind waits for another worker."""
    number = ask(world)
    assert not Worker(world.instance, {}, FixedClock(EIGHT)).run_one()
    assert seen(world, number).state == WAITING


def test_told_to_end_a_worker_hands_its_job_back_as_though_it_had_not_been_begun(world: World) -> None:
    """At once, whether the handler notices or not; another takes it without waiting for the lease."""
    number, begun = ask(world), Event()

    def long(work: Work) -> Any:
        begun.set()
        while not work.stopped():
            sleep(0.01)
        return "half"

    one = Worker(world.instance, kind(long), beat=SOON)
    one.start()
    assert begun.wait(10)
    one.stop()
    job = seen(world, number)
    assert (job.state, job.attempts, job.result) == (WAITING, 0, None)
    assert worker(world, returns("whole")).run_one()
    assert seen(world, number).result == "whole"


def test_a_worker_beats_by_itself_while_the_handler_is_busy(world: World) -> None:
    """Its thread says the time as progress where the work has so many seconds."""
    number = ask(world)

    def busy(work: Work) -> Any:
        work.takes_at_most(0.4)
        for _ in range(200):
            if seen(world, number).total:
                return seen(world, number).total
            sleep(0.01)
        return None

    one = Worker(world.instance, kind(busy), beat=SOON)
    thread = Thread(target=one.run_one)
    thread.start()
    thread.join(20)
    assert seen(world, number).result == 1


def test_what_ended_long_ago_is_cleared_and_the_rest_is_kept(world: World) -> None:
    """By any worker, when it starts."""
    clock, old = FixedClock(EIGHT), ask(world)
    worker(world, returns(None), clock).run_one()
    clock.moment = EIGHT + KEPT
    new = ask(world)
    worker(world, returns(None), clock).run_one()
    waits = ask(world)
    clock.forward(seconds=1)
    one = Worker(world.instance, {}, clock)
    one.start()
    for _ in range(200):
        with world.reading() as db:
            rows = [job_for(db, number, "", sees_all=True).number for number in (new, waits)]
            gone = db.get(type(job_for(db, new, "", sees_all=True)), old) is None
        if gone:
            break
        sleep(0.02)
    one.stop()
    assert (gone, rows) == (True, [new, waits])
