"""When a module becomes complete, with a real database and no screen."""

from __future__ import annotations

from datetime import date

import pytest

from mentor_training.errors import Refused
from mentor_training.evidence.actions import record
from mentor_training.learning import actions
from mentor_training.learning.queries import known, progress_of_all
from mentor_training.learning.rules.reading import Progress
from tests.builders import FRIDAY, World
from tests.learning.taking import (
    RIGHT,
    actor,
    begin,
    close,
    completed,
    give,
    read_all,
    take,
)
from tests.small_program import QUIZ, SAFETY, small_files


def progress(world: World, code: str) -> Progress:
    """Return how far a person is in the module of the small program."""
    with world.reading() as db:
        return progress_of_all(db, code, known(db, world.clock.now(), world.instance.settings.zone))[0]


def test_a_module_is_complete_on_the_day_on_which_both_reading_and_quiz_are_done(world: World) -> None:
    """Read on Friday, passed on Saturday: complete from Saturday, once, with the edition that was read and passed."""
    world.add_person("v-001")
    read_all(world, "v-001")
    assert completed(world, "v-001") == []
    world.clock.forward(days=1)
    take(world, "v-001", RIGHT)
    (fact,) = completed(world, "v-001")
    assert (fact.item, fact.first_day, fact.recorded_by) == ("module/safety@1", date(2026, 10, 17), "v-001")


def test_passing_first_and_reading_afterwards_completes_on_the_day_of_the_reading(world: World) -> None:
    """Either may come first."""
    world.add_person("v-001")
    take(world, "v-001", RIGHT)
    world.clock.forward(days=3)
    read_all(world, "v-001")
    assert [fact.first_day for fact in completed(world, "v-001")] == [date(2026, 10, 19)]


def test_the_day_is_the_one_in_the_programs_own_time_zone(world: World) -> None:
    """Half past one in the night of Saturday UTC is still Friday evening in New York."""
    world.add_person("v-001")
    take(world, "v-001", RIGHT)
    world.clock.forward(hours=9.5)
    read_all(world, "v-001")
    assert completed(world, "v-001")[0].first_day == FRIDAY


def test_a_module_with_a_caution_left_is_not_complete(world: World) -> None:
    """Every section read and the quiz passed is not enough; the caution is acknowledged by name."""
    world.add_person("v-001")
    who, zone = actor(world, "v-001"), world.instance.settings.zone
    take(world, "v-001", RIGHT)
    with world.writing() as db:
        for section in ("opening", "hands", "exits"):
            assert not actions.read_section(db, world.clock.now(), who, zone, "safety", section)
    assert completed(world, "v-001") == []
    with world.writing() as db:
        assert actions.acknowledge_caution(db, world.clock.now(), who, zone, "safety", "call")
    assert len(completed(world, "v-001")) == 1


def test_a_module_with_no_quiz_is_complete_when_it_has_been_read(world: World) -> None:
    """And not before."""
    files = small_files()
    del files["quizzes/safety.yaml"]
    world.publish(files, date(2026, 10, 1), 2)
    world.add_person("v-001")
    read_all(world, "v-001")
    assert [fact.item for fact in completed(world, "v-001")] == ["module/safety@1"]


def test_completion_is_recorded_once(world: World) -> None:
    """Reading on, acknowledging again and closing again record nothing more."""
    world.add_person("v-001")
    attempt = take(world, "v-001", RIGHT)
    read_all(world, "v-001")
    read_all(world, "v-001")
    close(world, "v-001", attempt.id)
    assert len(completed(world, "v-001")) == 1
    with pytest.raises(Refused, match="passed this quiz already"):
        begin(world, "v-001")


def test_an_attempt_stays_with_the_edition_it_was_started_under(world: World) -> None:
    """A quiz published anew meanwhile changes nothing in an open attempt, which completes the edition it was of."""
    world.add_person("v-001")
    read_all(world, "v-001")
    number = begin(world, "v-001")
    changed = QUIZ.replace("edition: 1", "edition: 2").replace("grey-and-sweating", "renamed")
    newer = {"modules/safety.md": SAFETY.replace("edition: 1", "edition: 2"), "quizzes/safety.yaml": changed}
    world.publish(small_files() | newer, FRIDAY, 2)
    give(world, "v-001", number, RIGHT)
    assert close(world, "v-001", number).passed
    assert [fact.item for fact in completed(world, "v-001")] == ["module/safety@1"]
    assert progress(world, "v-001").module.edition == 2
    assert progress(world, "v-001").unread != ()


def test_a_withdrawn_completion_is_earned_again_by_reading_and_passing_anew(world: World) -> None:
    """What was read and passed before it was withdrawn does not bring it back."""
    world.add_person("v-001")
    read_all(world, "v-001")
    take(world, "v-001", RIGHT)
    world.clock.forward(days=2)
    code = completed(world, "v-001")[0].code
    with world.writing() as db:
        record(db, world.clock.now(), "c-01", "v-001", "voided", "", date(2026, 10, 18), refers_to=code)
    assert len(progress(world, "v-001").unread) == 3
    assert progress(world, "v-001").passed_at is None
    world.clock.forward(hours=1)
    read_all(world, "v-001")
    assert len(completed(world, "v-001")) == 1
    take(world, "v-001", RIGHT)
    assert [fact.first_day for fact in completed(world, "v-001")] == [FRIDAY, date(2026, 10, 18)]


def test_a_module_that_is_good_for_a_year_is_done_again_before_it_ends(world: World) -> None:
    """From thirty days before its end reading and passing count towards the next completion, and not earlier."""
    world.add_person("v-001")
    read_all(world, "v-001")
    take(world, "v-001", RIGHT)
    world.clock.forward(days=300)
    read_all(world, "v-001")
    with pytest.raises(Refused, match="passed this quiz already"):
        begin(world, "v-001")
    world.clock.forward(days=40)
    assert len(progress(world, "v-001").unread) == 3
    take(world, "v-001", RIGHT)
    read_all(world, "v-001")
    assert [fact.first_day for fact in completed(world, "v-001")] == [FRIDAY, date(2027, 9, 21)]
