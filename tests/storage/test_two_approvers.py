"""Two people who approve, state or certify the same at the same time, on both databases: it counts once."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from threading import Barrier

from sqlalchemy.orm import Session

from mentor_training.certificates.actions import issue
from mentor_training.certificates.queries import issued_to
from mentor_training.errors import Refused
from mentor_training.evidence.queries import facts_of
from mentor_training.hours.actions import approve, enter_session
from mentor_training.hours.queries import entries_of, statements_of
from mentor_training.hours.stating import make_statement
from mentor_training.journal.queries import find_break
from mentor_training.people.permissions import CONSOLE
from tests.builders import FRIDAY, NOON, World
from tests.certificates.holders import KIND
from tests.hours.term import INSTRUCTOR, TUESDAY, add_people, serve


def at_once(world: World, act: Callable[[Session], object]) -> list[str]:
    """Do the same twice, each in a transaction of its own begun at the same time; return how each ended."""
    start = Barrier(2, timeout=60)

    def once(_place: int) -> str:
        start.wait()
        try:
            with world.writing() as db:
                act(db)
        except Refused:
            return "refused"
        return "done"

    with ThreadPoolExecutor(2) as pool:
        return sorted(pool.map(once, range(2)))


def test_what_two_approve_and_state_at_once_counts_once(stored: World) -> None:
    """One approval, one statement with each entry on it, and the chain of the journal whole."""
    add_people(stored)
    numbers = [serve(stored, "v-001", 97), serve(stored, "v-002", 60)]
    assert at_once(stored, lambda db: approve(db, NOON, INSTRUCTOR, numbers)) == ["done", "refused"]
    zone = stored.instance.settings.zone
    state = at_once(stored, lambda db: make_statement(db, NOON, INSTRUCTOR, "KIN-372-A", FRIDAY, zone))
    assert state == ["done", "refused"]
    with stored.reading() as db:
        assert [row.number for row in statements_of(db, ["KIN-372-A"])] == ["ST-2026-0001"]
        assert {one.statement for one in entries_of(db, ("v-001", "v-002"))} == {"ST-2026-0001"}
        assert [fact.note for fact in facts_of(db, "v-001", NOON)] == ["97"]
        assert find_break(db) is None


def test_a_session_entered_twice_at_once_is_in_the_log_once(stored: World) -> None:
    """The second finds the first, which it overlaps."""
    add_people(stored)

    def enter(db: Session) -> None:
        enter_session(db, NOON, "o-01", "v-001", "s-10", TUESDAY, NOON - timedelta(minutes=97), NOON)

    assert at_once(stored, enter) == ["done", "refused"]
    with stored.reading() as db:
        assert [one.minutes for one in entries_of(db, ("v-001",))] == [97]


def test_a_certificate_issued_twice_at_once_is_issued_once(stored: World) -> None:
    """The second is told of the first."""
    add_people(stored)
    stored.hold("v-001", "module/safety", "skill/guarding")
    assert at_once(stored, lambda db: issue(db, NOON, CONSOLE, "v-001", KIND, FRIDAY)) == ["done", "refused"]
    with stored.reading() as db:
        assert [one.certificate.number for one in issued_to(db, ["v-001"])] == ["C-2026-0001"]
