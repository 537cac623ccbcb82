"""Sessions stored and read back."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time

import pytest

from mentor_training.calendar.actions import in_order, store_session
from mentor_training.calendar.queries import session_for, sessions, upcoming
from mentor_training.calendar.rules import SessionFact, read_blocks
from mentor_training.errors import NotFound, Refused
from mentor_training.journal.queries import entries
from mentor_training.people.permissions import CONSOLE
from tests.builders import World

STARTS, ENDS = time(9, 30), time(11, 15)
SESSION = SessionFact(
    "s-11", "Week 6", date(2026, 10, 17), STARTS, ENDS, read_blocks("09:50-10:02;10:05-10:17", STARTS, ENDS) or (),
    ("target-games", "balance-lane"), ("p-02", "p-01"), ("v-001",), ("o-01",),
)  # fmt: skip


def store(world: World, session: SessionFact) -> bool:
    with world.writing() as db:
        return store_session(db, world.clock.now(), CONSOLE, session)


def test_a_session_comes_back_as_it_was_stored(world: World) -> None:
    """With its blocks, its stations in their order, and everybody by code; stored again, nothing changes."""
    assert store(world, SESSION)
    assert not store(world, SESSION)
    with world.reading() as db:
        assert session_for(db, "s-11") == in_order(SESSION)
        assert len(entries(db, kind="session")) == 1


def test_a_changed_session_leaves_nothing_of_the_old(world: World) -> None:
    """Fewer blocks and fewer people are fewer rows, and the journal holds both."""
    store(world, SESSION)
    changed = replace(SESSION, blocks=SESSION.blocks[:1], participants=("p-03",), observers=(), title="Moved")
    assert store(world, changed)
    with world.reading() as db:
        assert session_for(db, "s-11") == in_order(changed)
        assert len(entries(db, kind="session")) == 2


def test_a_session_with_blocks_outside_is_refused(world: World) -> None:
    """The same rule as for the file, whoever calls."""
    with world.writing() as db, pytest.raises(Refused, match="block 1 lies outside"):
        store_session(db, world.clock.now(), CONSOLE, replace(SESSION, starts=time(10, 0)))


def test_upcoming_are_todays_and_later_ones_of_somebody(world: World) -> None:
    """Past ones are left out, and those where somebody else is expected."""
    for code, day, who in (("s-01", 12, "v-001"), ("s-11", 17, "v-001"), ("s-12", 20, "v-002"), ("s-13", 24, "v-001")):
        store(world, replace(SESSION, code=code, day=date(2026, 10, day), volunteers=(who,)))
    with world.reading() as db:
        assert [one.code for one in upcoming(db, date(2026, 10, 17), "volunteer", "v-001")] == ["s-11", "s-13"]
        assert [one.code for one in upcoming(db, date(2026, 10, 18))] == ["s-12", "s-13"]
        assert len(sessions(db)) == 4


def test_a_session_that_is_not_there_is_not_found(world: World) -> None:
    """By its code, so that the message can name it."""
    with world.reading() as db, pytest.raises(NotFound, match="session s-99"):
        session_for(db, "s-99")
