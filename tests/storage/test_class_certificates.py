"""Certificates for a class when the worker is killed in the middle: the rest is made, and none twice."""

from __future__ import annotations

import signal
from datetime import timedelta

from sqlalchemy import select

from mentor_training.application import KINDS
from mentor_training.certificates.class_issue import ask_for_class, issued_by_job
from mentor_training.certificates.tables import Certificate
from mentor_training.clock import FixedClock, SystemClock
from mentor_training.jobs.queries import job_for
from mentor_training.jobs.rules import DONE, LEASE, RUNNING
from mentor_training.jobs.worker import Worker
from mentor_training.journal.queries import entries, find_break
from tests.builders import FRIDAY, NOON, World
from tests.certificates.holders import COORDINATOR, KIND
from tests.jobs.working import seen
from tests.storage.test_workers import hear, process

MANY = 5


def a_class(world: World) -> int:
    """Enroll a coordinator and volunteers who are all ready, and ask for their certificates."""
    world.add_person("c-01", "coordinator")
    for number in range(1, MANY + 1):
        world.hold(world.add_person(f"v-{number:03d}"), "module/safety", "skill/guarding")
    with world.writing() as db:
        return ask_for_class(db, NOON, COORDINATOR, KIND, FRIDAY).number


def test_a_killed_workers_class_is_taken_up_again_and_no_certificate_is_made_twice(stored: World) -> None:
    """Killed by SIGKILL after the second of five: another worker makes the other three, and the report has all five."""
    number = a_class(stored)
    with process("tests.storage.certifier", str(stored.instance.settings.folder)) as dying:
        assert hear(dying) == "begun"
        dying.send_signal(signal.SIGKILL)
        dying.wait(timeout=30)
    assert seen(stored, number).state == RUNNING
    clock = FixedClock(SystemClock().now())
    other = Worker(stored.instance, KINDS, clock)
    assert not other.run_one()
    clock.moment += LEASE + timedelta(seconds=1)
    assert other.run_one()
    with stored.reading() as db:
        job = job_for(db, number, "c-01", sees_all=True)
        assert (job.state, job.attempts, job.result) == (DONE, 2, {"refused": {}, "stopped": False})
        made = db.execute(select(Certificate.number, Certificate.person).order_by(Certificate.number)).all()
        assert [tuple(one) for one in made] == [(f"C-2026-{n:04d}", f"v-{n:03d}") for n in range(1, MANY + 1)]
        assert [one.certificate.number for one in issued_by_job(db, job)] == [one[0] for one in made]
        assert len(entries(db, kind="certificate-issued")) == MANY
        assert find_break(db) is None
