"""Mid-term notes whose worker is killed with a mail in the server's hands: the rest goes out, and nobody gets two."""

from __future__ import annotations

import signal
from datetime import timedelta

from sqlalchemy import select

from mentor_training.application import KINDS
from mentor_training.clock import FixedClock, SystemClock
from mentor_training.jobs.rules import DONE, LEASE, RUNNING
from mentor_training.jobs.worker import Worker
from mentor_training.journal.queries import entries, find_break
from mentor_training.letters.note_sending import ask_for_notes
from mentor_training.letters.tables import Mail, MailEnd
from tests.builders import FRIDAY, NOON, World
from tests.hours.term import INSTRUCTOR, add_people
from tests.jobs.working import seen
from tests.letters.friday import served
from tests.letters.mail_server import Kept
from tests.storage.test_workers import process

FIRST = "v-001@marrowdale.example"


def test_a_killed_workers_notes_are_taken_up_and_nobody_gets_a_second(stored: World) -> None:
    """Killed by SIGKILL while the server has the first mail: that one counts as sent, the others go out once each."""
    add_people(stored)
    for number in (3, 4):
        stored.add_person(f"v-00{number}", sections="KIN-372-A")
    with served(stored, kept := Kept(silent_for={FIRST})) as world:
        with world.writing() as db:
            number = ask_for_notes(db, NOON, INSTRUCTOR, world.instance.settings, "KIN-372-A", FRIDAY).number
        with process("tests.storage.note_sender", str(world.instance.settings.folder)) as dying:
            assert kept.arrived.wait(60)
            dying.send_signal(signal.SIGKILL)
            dying.wait(timeout=30)
        kept.silent_for.clear()
        assert seen(world, number).state == RUNNING
        other = Worker(world.instance, KINDS, FixedClock(SystemClock().now() + LEASE + timedelta(seconds=1)))
        assert other.run_one()
    assert kept.people == ["v-001", "v-002", "v-003", "v-004"]
    job = seen(stored, number)
    assert (job.state, job.attempts, job.result["accepted"] if job.result else 0) == (DONE, 2, 3)
    with stored.reading() as db:
        assert db.scalars(select(Mail.person).order_by(Mail.number)).all() == kept.people
        assert len(db.scalars(select(MailEnd)).all()) == 3
        assert len(entries(db, kind="mail")) == 4
        assert len(entries(db, kind="midterm-notes")) == 1
        assert find_break(db) is None
