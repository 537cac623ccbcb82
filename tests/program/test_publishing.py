"""Publishing an edition: what is stored, what is refused, what it says afterwards."""

from __future__ import annotations

import json
from datetime import date, timedelta

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DatabaseError

from mentor_training.errors import NotFound, Refused
from mentor_training.journal.queries import entries, find_break
from mentor_training.people.permissions import CONSOLE
from mentor_training.program.actions import publish
from mentor_training.program.editions import content_hash
from mentor_training.program.queries import edition_for, edition_in_force, editions, files_of, require_edition
from mentor_training.program.reading import Finding
from tests.builders import FRIDAY, World
from tests.small_program import PROGRAM, small_files

CHANGED = small_files(program__program_toml=PROGRAM.replace("Small program", "Changed program"))


def published(world: World, files: dict[str, str], effective: date = FRIDAY) -> int:
    """Publish files today and return the edition's number."""
    with world.writing() as db:
        return publish(db, world.clock.now(), CONSOLE, FRIDAY, files, effective).number


def test_a_published_edition_holds_its_files_and_takes_effect_on_its_day(world: World) -> None:
    """Numbered, hashed, with who and when; before its day the earlier one stays in force."""
    assert published(world, CHANGED, FRIDAY + timedelta(days=4)) == 2
    with world.reading() as db:
        row = edition_for(db, 2)
        assert (row.hash, row.effective) == (content_hash(CHANGED), date(2026, 10, 20))
        assert (row.published_at, row.published_by, row.from_start) == (world.clock.now(), "console", False)
        assert files_of(db, 2) == CHANGED
        before = edition_in_force(db, date(2026, 10, 19), world.clock.now())
        after = require_edition(db, date(2026, 10, 20), world.clock.now())
        assert before is not None
        assert (before.program.name, after.program.name) == ("Small program", "Changed program")
        assert [one.number for one in editions(db)] == [2, 1]


def test_publishing_is_written_in_the_journal(world: World) -> None:
    """With the hash of every file, so that a later rewrite shows."""
    published(world, CHANGED)
    with world.reading() as db:
        entry = entries(db, kind="edition")[0]
        record = json.loads(entry.record)
        assert (entry.subject, entry.who) == ("edition-2", "console")
        assert (record["number"], record["effective"], record["hash"]) == (2, "2026-10-16", content_hash(CHANGED))
        assert set(record["files"]) == set(CHANGED)
        assert find_break(db) is None


def test_an_edition_is_not_known_before_it_was_published(world: World) -> None:
    """What was decided earlier was decided by what was known then."""
    earlier = world.clock.now()
    world.clock.forward(hours=1)
    published(world, CHANGED)
    with world.reading() as db:
        assert require_edition(db, FRIDAY, earlier).number == 1
        assert require_edition(db, FRIDAY, world.clock.now()).number == 2


def test_the_first_edition_may_begin_on_any_day_and_counts_as_known_from_the_beginning(empty_world: World) -> None:
    """A history that is moved in lies before the program was installed."""
    assert published(empty_world, small_files(), date(2024, 1, 8)) == 1
    with empty_world.reading() as db:
        found = require_edition(db, date(2024, 2, 1), empty_world.clock.now() - timedelta(days=900))
        assert (found.number, found.from_start) == (1, True)


def test_without_an_edition_in_force_the_answer_says_what_to_do(empty_world: World) -> None:
    """Nothing is guessed."""
    with empty_world.reading() as db, pytest.raises(Refused, match="No edition of the program is in force"):
        require_edition(db, FRIDAY, empty_world.clock.now())
    with empty_world.reading() as db, pytest.raises(NotFound):
        edition_for(db, 1)


def test_files_with_faults_are_refused_with_every_fault_and_nothing_is_stored(world: World) -> None:
    """Faults of reading and of collecting alike, each once."""
    broken = small_files(program__program_toml="name = 3\nentri = 1\n")
    unreadable = Finding("modules/x.md", 2, "the file is not UTF-8 text", "save it with the encoding UTF-8")
    with world.writing() as db, pytest.raises(Refused) as refused:
        publish(db, world.clock.now(), CONSOLE, FRIDAY, broken, FRIDAY, [unreadable, unreadable])
    assert refused.value.reasons == (
        str(unreadable),
        "program/program.toml:1: `name` is 3; it must be a text in quotes",
        "program/program.toml:2: unknown key `entri` in the program; did you mean `entry`?",
    )
    with world.reading() as db:
        assert len(editions(db)) == 1
        assert entries(db, kind="edition") == []


def test_a_later_edition_cannot_take_effect_before_today(world: World) -> None:
    """Today is early enough."""
    with pytest.raises(Refused, match="choose 2026-10-16 or a later day"):
        published(world, CHANGED, FRIDAY - timedelta(days=1))
    assert published(world, CHANGED, FRIDAY) == 2


def test_the_same_files_are_not_published_again_but_earlier_ones_may_come_back(world: World) -> None:
    """Only a change makes an edition, and going back is a change."""
    assert published(world, CHANGED) == 2
    with pytest.raises(Refused, match="These files are edition 2 already"):
        published(world, CHANGED)
    assert published(world, small_files()) == 3


@pytest.mark.parametrize("statement", ["UPDATE edition SET hash = 'x'", "DELETE FROM edition_file"])
def test_the_database_itself_refuses_to_change_an_edition(world: World, statement: str) -> None:
    """Published editions never change."""
    with world.reading() as db, pytest.raises(DatabaseError, match="append-only"):
        db.execute(text(statement))
