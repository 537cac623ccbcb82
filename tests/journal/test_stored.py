"""The journal in the database: written with each act, read by pages, proved."""

from __future__ import annotations

from datetime import timedelta

import pytest
from sqlalchemy import text

from mentor_training.journal.actions import write
from mentor_training.journal.chain import FIRST
from mentor_training.journal.queries import Wanted, find_break, head, kinds, page_of, prove_chain
from tests.builders import NOON, World

TRIGGERS = ("journal_entry_refuses_update", "journal_entry_refuses_delete")


def fill(world: World, many: int) -> None:
    """Write so many entries, alternating between two kinds and three subjects, a minute apart."""
    with world.writing() as db:
        for number in range(many):
            at = NOON + timedelta(minutes=number)
            write(db, at, "c-01", ("noted", "seen")[number % 2], f"v-00{number % 3}", {"place": number})


def tamper(world: World, statement: str) -> None:
    """Do what only somebody with the database file in hand can do: take the guards away, and rewrite."""
    with world.writing() as db:
        for trigger in TRIGGERS:
            db.execute(text(f"DROP TRIGGER {trigger}"))
        db.execute(text(statement))


def test_what_is_written_can_be_proved_and_has_a_head(world: World) -> None:
    """The proof counts every entry and ends at the newest hash."""
    fill(world, 7)
    with world.reading() as db:
        proof = prove_chain(db)
        assert (proof.broken, proof.entries, proof.head) == (None, 7, head(db))


def test_an_empty_journal_holds_and_its_head_is_zeros(world: World) -> None:
    """The first entry hangs on sixty-four zeros."""
    with world.reading() as db:
        assert head(db) == FIRST
        assert prove_chain(db, FIRST).has_noted


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE journal_entry SET who = 'v-001' WHERE number = 4",
        "UPDATE journal_entry SET moment = '2026-10-16 16:00:00.000001' WHERE number = 4",
        "UPDATE journal_entry SET record = '{}' WHERE number = 4",
        "DELETE FROM journal_entry WHERE number = 4",
        "UPDATE journal_entry SET subject = (SELECT subject FROM journal_entry WHERE number = 6) WHERE number = 4",
    ],
)
def test_a_row_rewritten_behind_the_programs_back_is_named(world: World, statement: str) -> None:
    """With the triggers taken away the database changes the row, and the chain still tells."""
    fill(world, 8)
    tamper(world, statement)
    with world.reading() as db:
        broken = find_break(db)
    assert broken is not None
    assert broken.number == 4


def test_two_rows_that_changed_places_are_noticed(world: World) -> None:
    """Their numbers swapped, by way of a number that nobody has."""
    fill(world, 8)
    with world.writing() as db:
        for trigger in TRIGGERS:
            db.execute(text(f"DROP TRIGGER {trigger}"))
        for old, new in ((3, 1000), (5, 3), (1000, 5)):
            db.execute(text("UPDATE journal_entry SET number = :new WHERE number = :old"), {"old": old, "new": new})
    with world.reading() as db:
        broken = find_break(db)
    assert broken is not None
    assert broken.number == 3


def test_an_act_that_is_refused_leaves_no_entry(world: World) -> None:
    """Rolled back with its act: the journal tells only what was done."""
    fill(world, 2)
    with world.instance.database.open_writer() as db:
        write(db, NOON, "c-01", "noted", "v-001", {})
        db.rollback()
    with world.reading() as db:
        assert prove_chain(db).entries == 2


def test_pages_follow_one_another_without_gap_or_overlap(world: World) -> None:
    """Newest first; each page begins where the one before ended, and leads back to it."""
    fill(world, 23)
    seen: list[int] = []
    start: int | None = None
    came_from: list[int | None] = []
    with world.reading() as db:
        while True:
            page = page_of(db, Wanted(), start, most=5)
            came_from.append(page.newer)
            seen += [row.number for row in page.rows]
            assert page.total == 23
            if page.older is None:
                break
            start = page.older
    assert seen == list(range(23, 0, -1))
    assert came_from == [None, 23, 18, 13, 8]


def test_a_page_stands_still_while_the_journal_grows(world: World) -> None:
    """An address of a page shows the same entries tomorrow."""
    fill(world, 12)
    with world.reading() as db:
        before = [row.number for row in page_of(db, Wanted(), 7, most=5).rows]
    fill(world, 4)
    with world.reading() as db:
        assert [row.number for row in page_of(db, Wanted(), 7, most=5).rows] == before == [7, 6, 5, 4, 3]


def test_entries_are_found_by_subject_kind_and_moment(world: World) -> None:
    """All three at once."""
    fill(world, 12)
    with world.reading() as db:
        page = page_of(db, Wanted("v-001", "seen", NOON + timedelta(minutes=7)))
        assert [row.number for row in page.rows] == [8, 2]
        assert page.total == 2
        assert kinds(db) == ["noted", "seen"]
