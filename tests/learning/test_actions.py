"""Taking quizzes and talking about them, with a real database and no screen."""

from __future__ import annotations

from datetime import date

import pytest

from mentor_training.errors import NotAllowed, NotFound, Refused
from mentor_training.journal.queries import entries, find_break
from mentor_training.learning import actions
from mentor_training.learning.queries import all_held, known, permission_of
from mentor_training.learning.rules.answers import Measured, Ordered, Picked, Walked
from tests.builders import FRIDAY, World
from tests.learning.taking import (
    RIGHT,
    TWO_WRONG,
    UNSAFE,
    actor,
    attempts,
    begin,
    close,
    completed,
    give,
    kept,
    read_all,
    take,
    talk,
)


def may_start(world: World, code: str) -> bool:
    """Say whether a person may start an attempt now."""
    with world.reading() as db:
        policy = known(db, world.clock.now(), world.instance.settings.zone).program.policy
        return permission_of(db, code, "safety", policy, world.clock.now()).may_start


def test_an_unsafe_choice_fails_the_attempt_whatever_the_score(world: World) -> None:
    """Four of five points reach the pass mark of 0.8, and the attempt is not passed."""
    world.add_person("v-001")
    read_all(world, "v-001")
    attempt = take(world, "v-001", UNSAFE)
    assert (attempt.score, attempt.passed, attempt.unsafe) == (0.8, False, ("grey-and-sweating",))
    assert completed(world, "v-001") == []


def test_the_next_attempt_waits_for_the_cool_down(world: World) -> None:
    """Twelve hours from the close of the last one."""
    world.add_person("v-001")
    take(world, "v-001", TWO_WRONG)
    world.clock.forward(hours=11.9)
    with pytest.raises(Refused, match="12 hours apart"):
        begin(world, "v-001")
    world.clock.forward(hours=0.1)
    take(world, "v-001", RIGHT)


def test_three_failed_attempts_hold_until_a_talk(world: World) -> None:
    """A fourth waits for a conversation that an observer records, and then for nothing but the cool-down."""
    world.add_person("v-001")
    world.add_person("o-01", "observer")
    for _ in range(3):
        take(world, "v-001", TWO_WRONG)
        world.clock.forward(hours=13)
    with pytest.raises(Refused, match="3 attempts were not passed"):
        begin(world, "v-001")
    talk(world, "o-01", "v-001", "Walked through the plan together.")
    assert take(world, "v-001", RIGHT).passed


def test_the_same_unsafe_choice_twice_holds(world: World) -> None:
    """After the second time, whatever the number of attempts; and the list of those who wait names it."""
    world.add_person("v-001")
    world.add_person("o-01", "observer")
    take(world, "v-001", UNSAFE)
    world.clock.forward(hours=13)
    assert may_start(world, "v-001")
    take(world, "v-001", UNSAFE)
    world.clock.forward(hours=13)
    assert not may_start(world, "v-001")
    with world.reading() as db:
        now = known(db, world.clock.now(), world.instance.settings.zone)
        (held,) = all_held(db, now.program, world.clock.now())
    assert (held.person, held.hold.unsafe_twice, held.sections) == ("v-001", ("grey-and-sweating",), ("exits",))
    talk(world, "o-01", "v-001")
    assert may_start(world, "v-001")


def test_a_talk_needs_an_observer_another_person_and_a_hold(world: World) -> None:
    """Nobody releases themselves; a volunteer releases nobody; where nothing is held there is nothing to record."""
    world.add_person("v-001", "volunteer;observer")
    world.add_person("v-002")
    world.add_person("o-01", "observer")
    with pytest.raises(Refused, match="Nothing is held"):
        talk(world, "o-01", "v-001")
    for _ in range(2):
        take(world, "v-001", UNSAFE)
        world.clock.forward(hours=13)
    with pytest.raises(Refused, match="with themselves"):
        talk(world, "v-001", "v-001")
    with pytest.raises(NotAllowed):
        talk(world, "v-002", "v-001")
    for day in (FRIDAY, date(2026, 10, 18)):
        with pytest.raises(Refused, match="since the hold began"):
            talk(world, "o-01", "v-001", day=day)


def test_an_answer_can_be_changed_and_taken_back_until_the_attempt_is_closed(world: World) -> None:
    """Each save keeps what was given then; after closing nothing changes any more."""
    world.add_person("v-001")
    number = begin(world, "v-001")
    give(world, "v-001", number, {"grey-and-sweating": Picked((0,)), "how-long": Measured("20", "s")})
    give(world, "v-001", number, {"grey-and-sweating": Picked((1,))})
    assert kept(world, "v-001", number) == {"grey-and-sweating": Picked((1,)), "how-long": Measured("20", "s")}
    with world.writing() as db:
        actions.keep_answer(db, world.clock.now(), actor(world, "v-001"), number, "how-long", None)
    assert kept(world, "v-001", number) == {"grey-and-sweating": Picked((1,))}
    close(world, "v-001", number)
    with pytest.raises(Refused, match="closed"):
        give(world, "v-001", number, {"grey-and-sweating": Picked((2,))})


def test_what_was_done_in_a_scene_stands(world: World) -> None:
    """Once the next scene was seen, the earlier choice can neither be changed nor taken back; walking on is open."""
    world.add_person("v-001")
    number = begin(world, "v-001")
    give(world, "v-001", number, {"door": Walked((2,))})
    for instead in (Walked((0,)), Walked((0, 0)), None):
        with pytest.raises(Refused, match="stands"), world.writing() as db:
            actions.keep_answer(db, world.clock.now(), actor(world, "v-001"), number, "door", instead)
    give(world, "v-001", number, {"door": Walked((2, 0))})
    assert kept(world, "v-001", number) == {"door": Walked((2, 0))}


def test_what_is_no_answer_is_not_kept(world: World) -> None:
    """A broken order, a number in words, a scenario of another attempt."""
    world.add_person("v-001")
    number = begin(world, "v-001")
    for slug, answer in (("in-order", Ordered(("shout", "send"))), ("how-long", Measured("ten", "s"))):
        with pytest.raises(Refused):
            give(world, "v-001", number, {slug: answer})
    with pytest.raises(NotFound):
        give(world, "v-001", number, {"another": Picked((0,))})
    assert kept(world, "v-001", number) == {}


def test_closing_twice_counts_once(world: World) -> None:
    """One result, one entry in the journal, one completion."""
    world.add_person("v-001")
    read_all(world, "v-001")
    first = take(world, "v-001", RIGHT)
    world.clock.forward(hours=1)
    again = close(world, "v-001", first.id)
    assert again.closed_at == first.closed_at
    with world.reading() as db:
        assert len(entries(db, kind="attempt-closed")) == 1
    assert len(completed(world, "v-001")) == 1


def test_starting_twice_goes_on_with_the_attempt_that_is_open(world: World) -> None:
    """Two windows do not make two attempts."""
    world.add_person("v-001")
    assert begin(world, "v-001", 1) == begin(world, "v-001", 2)
    assert len(attempts(world)) == 1


def test_an_attempt_left_for_a_day_can_no_longer_be_taken_up(world: World) -> None:
    """Within 24 hours all is there; after them a new one starts, and the first one left does not count."""
    world.add_person("v-001")
    number = begin(world, "v-001")
    give(world, "v-001", number, {"grey-and-sweating": Picked((0,))})
    world.clock.forward(hours=23)
    assert begin(world, "v-001") == number
    world.clock.forward(hours=1)
    with pytest.raises(Refused, match="broken off"):
        close(world, "v-001", number)
    assert begin(world, "v-001") != number


def test_the_journal_tells_what_was_done_and_none_of_the_words(world: World) -> None:
    """Cautions, starts, closes and talks are entered; a note enters as a hash, and the chain holds."""
    world.add_person("v-001")
    world.add_person("o-01", "observer")
    read_all(world, "v-001")
    for _ in range(2):
        take(world, "v-001", UNSAFE)
        world.clock.forward(hours=13)
    talk(world, "o-01", "v-001", "Sat down over it.")
    take(world, "v-001", RIGHT)
    with world.reading() as db:
        found = entries(db, subject="v-001")
        kinds = [entry.kind for entry in reversed(found)]
        assert find_break(db) is None
    attempt = ["attempt-started", "attempt-closed"]
    assert kinds == ["person", "caution-acknowledged", *attempt, *attempt, "talk", *attempt, "completed"]
    assert not any("Sat down" in entry.record for entry in found)


def test_only_volunteers_complete_modules(world: World) -> None:
    """An observer may read, and no evidence comes of it."""
    world.add_person("o-01", "observer")
    with pytest.raises(NotAllowed):
        read_all(world, "o-01")
    with pytest.raises(NotAllowed):
        begin(world, "o-01")


def test_what_is_not_in_the_program_is_not_found(world: World) -> None:
    """A section, a caution, a module or a quiz that is not there."""
    world.add_person("v-001")
    who, zone, now = actor(world, "v-001"), world.instance.settings.zone, world.clock.now()
    with world.writing() as db:
        for module, section in (("safety", "roof"), ("roof", "hands")):
            with pytest.raises(NotFound):
                actions.read_section(db, now, who, zone, module, section)
        with pytest.raises(NotFound):
            actions.acknowledge_caution(db, now, who, zone, "safety", "roof")
        with pytest.raises(NotFound):
            actions.start_attempt(db, now, who, zone, "roof", 1)
