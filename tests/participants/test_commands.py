"""Participants and cards in and out on the command line."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path

import click
import pytest
from click.testing import CliRunner, Result
from sqlalchemy.orm import Session

from mentor_training.journal.queries import entries, is_moving_in
from mentor_training.participants.commands import cards, participants
from mentor_training.participants.queries import card_in_force, cards_known, profile_in_force
from tests.builders import World

HEAD = "participant,first_name,adaptation_level,needs,keep_apart,wishes\r\n"
PEOPLE = HEAD + "p-01,Imre,2,fall-risk,,v-001\r\np-02,Roswitha,1,,,\r\n"
CARDS = 'participant,version,first_day,review_by,text\r\np-01,1,2026-09-10,2027-08-31,"Arm\'s reach, belt on."\r\n'


def run(world: World, command: click.Command, *words: str) -> Result:
    return CliRunner().invoke(command, list(words), obj=world.instance)


def take_in(world: World, command: click.Command, folder: Path, text: str) -> Result:
    file = folder / "in.csv"
    file.write_bytes(text.encode())
    return run(world, command, "import", str(file))


def test_what_goes_in_comes_out_and_a_second_import_changes_nothing(world: World, tmp_path: Path) -> None:
    """The same file again writes no journal entry and no row."""
    world.add_person("v-001")
    assert "2 rows read, 2 of them new or changed" in take_in(world, participants, tmp_path, PEOPLE).output
    assert "1 card versions new" in take_in(world, cards, tmp_path, CARDS).output
    with world.reading() as db:
        written = len(entries(db))
    assert "0 of them new or changed" in take_in(world, participants, tmp_path, PEOPLE).output
    assert "0 card versions new" in take_in(world, cards, tmp_path, CARDS).output
    with world.reading() as db:
        assert len(entries(db)) == written
    assert run(world, participants, "export").stdout_bytes == PEOPLE.encode()
    exported = tmp_path / "out.csv"
    exported.write_bytes(run(world, cards, "export").stdout_bytes)
    assert "0 card versions new" in run(world, cards, "import", str(exported)).output


def test_a_change_after_the_move_in_counts_from_the_day_it_is_recorded(world: World, tmp_path: Path) -> None:
    """Asked about the day before, or from a moment before, the earlier profile stands."""
    world.add_person("v-001")
    take_in(world, participants, tmp_path, PEOPLE)
    world.hold("v-001", "module/safety")
    before = world.clock.now()
    world.clock.forward(days=3)
    take_in(
        world, participants, tmp_path, PEOPLE.replace("p-01,Imre,2,fall-risk,,", "p-01,Imre,3,fall-risk;two-mentors,,")
    )
    now, today = world.clock.now(), date(2026, 10, 19)
    with world.reading() as db:
        asked = [(today, now), (today, before), (date(2026, 10, 18), now)]
        found = [profile_in_force(db, "p-01", on, known_at) for on, known_at in asked]
    assert [one and one.adaptation_level for one in found] == [3, 2, 2]


def test_an_import_that_had_to_wait_is_dated_when_its_turn_had_come(
    world: World, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Else somebody who asked meanwhile would be told today that more was known then."""
    world.add_person("v-001")
    world.hold("v-001", "module/safety")
    begin = world.instance.database.writing

    @contextmanager
    def after_a_wait() -> Iterator[Session]:
        with begin() as db:
            world.clock.forward(seconds=10)
            yield db

    monkeypatch.setattr(world.instance.database, "writing", after_a_wait)
    for command, text in ((participants, PEOPLE), (cards, CARDS)):
        take_in(world, command, tmp_path, text)
        with world.reading() as db:
            assert entries(db, most=1)[0].moment == world.clock.now()


def test_what_is_imported_while_moving_in_is_known_from_the_beginning(world: World, tmp_path: Path) -> None:
    """Also after somebody had looked at a participant's page meanwhile; a later card counts as any other record."""
    world.add_person("v-001")
    take_in(world, participants, tmp_path, PEOPLE)
    take_in(world, cards, tmp_path, CARDS)
    long_ago = world.clock.now().replace(year=2025)
    world.hold("v-001", "module/safety")
    take_in(world, cards, tmp_path, CARDS + "p-01,2,2026-09-11,2027-08-31,Belt off.\r\n")
    with world.reading() as db:
        card = card_in_force(db, "p-01", date(2026, 10, 17), long_ago)
        assert (card and card.version, len(cards_known(db, world.clock.now(), "p-01"))) == (1, 2)


def test_a_broken_row_takes_nothing_in(world: World, tmp_path: Path) -> None:
    """Status 2, each finding with file, row and column, and no participant is there."""
    world.add_person("v-001")
    answer = take_in(world, participants, tmp_path, PEOPLE + "p-03,,9,,,\r\n")
    assert answer.exit_code == 2
    assert "row 4, column first_name" in answer.stderr
    assert "row 4, column adaptation_level" in answer.stderr
    assert run(world, participants, "export").output.count("p-0") == 0


def test_other_words_under_a_stored_version_are_refused(world: World, tmp_path: Path) -> None:
    """A mentor acknowledged those words and no others."""
    world.add_person("v-001")
    take_in(world, participants, tmp_path, PEOPLE)
    take_in(world, cards, tmp_path, CARDS)
    answer = take_in(world, cards, tmp_path, CARDS.replace("belt on", "belt off"))
    assert answer.exit_code == 2
    assert "row 2, column version: version 1 of p-01 is there already and says something else" in answer.stderr


def test_the_journal_holds_neither_names_nor_needs_nor_words_of_a_card(world: World, tmp_path: Path) -> None:
    """What a participant needs is not for everybody who reads the journal, and can be erased."""
    world.add_person("v-001")
    take_in(world, participants, tmp_path, PEOPLE)
    take_in(world, cards, tmp_path, CARDS)
    with world.reading() as db:
        records = " ".join(entry.record for entry in entries(db) if entry.kind in ("participant", "card"))
    assert records.count("sha256:") == 3
    assert not [word for word in ("Imre", "fall-risk", "reach") if word in records]


def test_writing_needs_out_is_a_look_and_is_journaled(world: World, tmp_path: Path) -> None:
    """Each export leaves one entry, and does not end the move-in."""
    world.add_person("v-001")
    take_in(world, participants, tmp_path, PEOPLE)
    run(world, participants, "export")
    run(world, cards, "export")
    with world.reading() as db:
        assert [(entry.who, entry.subject) for entry in entries(db, kind="looked")] == [("console", "participants")] * 2
        assert is_moving_in(db)
