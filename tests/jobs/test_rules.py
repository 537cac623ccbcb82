"""When a job is taken, taken up again, or given up."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as some

from mentor_training.jobs.rules import (
    BEAT,
    DONE,
    FAILED,
    KEPT,
    LEASE,
    MOST_ATTEMPTS,
    OPEN,
    REFUSED,
    RUNNING,
    STATES,
    STOPPED,
    WAITING,
    Standing,
    Step,
    is_cleared_before,
    lease_is_over,
    looks_again_after,
    may_be_seen,
    next_step,
    seconds_between,
)

EIGHT = datetime(2026, 10, 17, 8, 0, tzinfo=UTC)
MOMENTS = some.integers(-3600, 3600).map(lambda seconds: EIGHT + timedelta(seconds=seconds))
JOBS = some.builds(
    Standing, some.sampled_from(STATES), some.integers(0, MOST_ATTEMPTS + 2), some.none() | MOMENTS, some.booleans()
)


@pytest.mark.parametrize(
    ("job", "step"),
    [
        (Standing(WAITING), Step.TAKE),
        (Standing(WAITING, stop_wished=True), Step.END_STOPPED),
        (Standing(RUNNING, 1, EIGHT + LEASE), Step.LEAVE),
        (Standing(RUNNING, 1, EIGHT), Step.LEAVE),
        (Standing(RUNNING, 1, EIGHT - timedelta(seconds=1)), Step.TAKE),
        (Standing(RUNNING, 1, EIGHT - timedelta(seconds=1), stop_wished=True), Step.END_STOPPED),
        (Standing(RUNNING, MOST_ATTEMPTS, EIGHT - timedelta(seconds=1)), Step.GIVE_UP),
        (Standing(RUNNING, MOST_ATTEMPTS, EIGHT + LEASE), Step.LEAVE),
        *((Standing(state, 1), Step.LEAVE) for state in (DONE, REFUSED, FAILED, STOPPED)),
    ],
)
def test_what_a_worker_does_with_a_job_it_comes_to(job: Standing, step: Step) -> None:
    """At eight: the lease's last moment still counts, and what has ended stays as it ended."""
    assert next_step(job, EIGHT) == step


@given(JOBS, MOMENTS)
def test_nobody_touches_what_has_ended_or_what_somebody_is_at(job: Standing, at: datetime) -> None:
    """Whatever else is so."""
    alive = job.state == RUNNING and job.lease_until is not None and job.lease_until >= at
    if job.state not in OPEN or alive:
        assert next_step(job, at) == Step.LEAVE
    else:
        assert next_step(job, at) != Step.LEAVE


@given(JOBS, MOMENTS)
def test_a_job_is_begun_a_limited_number_of_times_and_never_against_a_wish(job: Standing, at: datetime) -> None:
    """One that may be taken has attempts left and nobody who wishes it to stop."""
    if next_step(job, at) == Step.TAKE:
        assert job.attempts < MOST_ATTEMPTS
        assert not job.stop_wished


@given(JOBS, MOMENTS, some.integers(0, 3600))
def test_a_lease_that_is_over_stays_over(job: Standing, at: datetime, later: int) -> None:
    """Unless somebody takes the job."""
    if lease_is_over(job, at):
        assert lease_is_over(job, at + timedelta(seconds=later))


def test_a_worker_may_miss_many_beats_before_its_job_is_taken_up_by_another() -> None:
    """A machine that is busy is not dead."""
    assert LEASE >= 10 * BEAT


@given(some.text(max_size=5), some.text(max_size=5))
def test_a_job_is_seen_by_who_asked_and_by_who_sees_all(asked_by: str, who: str) -> None:
    """And by nobody else."""
    assert may_be_seen(asked_by, who, sees_all=True)
    assert may_be_seen(asked_by, who, sees_all=False) == (asked_by == who)


def test_what_has_ended_is_cleared_after_its_days() -> None:
    """And not before."""
    assert is_cleared_before(EIGHT) == EIGHT - KEPT


@given(MOMENTS, MOMENTS)
def test_seconds_are_never_negative(begun: datetime, until: datetime) -> None:
    """Where two clocks disagree it is 0."""
    assert seconds_between(begun, until) == max(0, int((until - begun).total_seconds()))
    assert seconds_between(None, until) == 0


def test_a_page_looks_again_soon_at_first_and_then_less_often() -> None:
    """A short search is not waited for longer than it takes, and a long one does not keep the server busy."""
    assert [looks_again_after(seconds) for seconds in (0, 9, 10, 120)] == [1, 1, 3, 3]
