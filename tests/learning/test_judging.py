"""Recording what judges said of a quiz's items: by whom, of which items, journaled without a name, never changed."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date, datetime

import pytest
from sqlalchemy import func, select

from mentor_training.errors import NotAllowed, NotFound, Refused
from mentor_training.journal.tables import JournalEntry
from mentor_training.learning.judging import set_pass_mark
from mentor_training.learning.questions import PassMark, pass_marks_of
from mentor_training.learning.rules.pass_mark import Sheet
from mentor_training.learning.tables import PassMarkJudge, PassMarkSetting
from mentor_training.people.permissions import CONSOLE, Actor
from tests.builders import FRIDAY, World
from tests.learning.taking import actor
from tests.small_program import QUIZ, SAFETY, small_files

DANA, LEE = Sheet("Dana Reyes", (80, 70, 95, 60, 90)), Sheet("Lee", (90, 60, 85, 70, 100))
ITEMS = ("grey-and-sweating", "clean-hands", "in-order", "how-long", "door")


def judged(
    world: World, *sheets: Sheet, by: Actor = CONSOLE, day: date = FRIDAY, seen: int = 1, quiz: str = "safety"
) -> int:
    """Record what judges said, and return the number that it has."""
    with world.writing() as db:
        zone = world.instance.settings.zone
        return set_pass_mark(db, world.clock.now(), by, zone, quiz, seen, day, sheets).number


def asked(world: World, on: date = FRIDAY, known_at: datetime | None = None) -> list[PassMark]:
    """Return what judges said of the small program's quiz, the one that stands first."""
    with world.reading() as db:
        return pass_marks_of(db, "safety", on, known_at or world.clock.now())


def stored(world: World) -> tuple[int, int, int]:
    """Return how many settings, judges and journal entries about them there are."""
    with world.reading() as db:
        entries = select(func.count()).where(JournalEntry.kind == "pass-mark-set")
        count = [db.scalar(select(func.count()).select_from(table)) or 0 for table in (PassMarkSetting, PassMarkJudge)]
        return count[0], count[1], db.scalar(entries) or 0


def refused(world: World, sheets: Sequence[Sheet] = (DANA,), by: Actor = CONSOLE, seen: int = 1) -> str:
    """Return why nothing could be recorded, and see that nothing was."""
    before = stored(world)
    with pytest.raises(Refused) as no:
        judged(world, *sheets, by=by, seen=seen)
    assert stored(world) == before
    return " ".join(no.value.reasons)


def test_what_judges_said_is_kept_with_its_items_its_day_and_who_recorded_it(world: World) -> None:
    """In the order of the judges and of the quiz's items."""
    world.add_person("i-01", "course-instructor")
    assert judged(world, DANA, LEE, by=actor(world, "i-01"), day=date(2026, 10, 3)) == 1
    (found,) = asked(world)
    assert found.sheets == (DANA, LEE)
    assert (found.row.items, found.row.day, found.row.recorded_by) == (ITEMS, date(2026, 10, 3), "i-01")
    assert (found.row.module_edition, found.row.program_edition) == (1, 1)
    assert found.row.recorded_at == world.clock.now()
    assert f"{float(found.proposal.whole.mean):.2f}" == "0.80"


def test_the_journal_has_codes_figures_and_counts_and_no_name(world: World) -> None:
    """The names and what each judge wrote are in it as a hash alone, which other sheets do not have."""
    judged(world, DANA, LEE)
    judged(world, DANA, Sheet("Leo", LEE.percents))
    with world.reading() as db:
        first, second = db.scalars(select(JournalEntry).where(JournalEntry.kind == "pass-mark-set"))
    record = json.loads(first.record)
    hashed, other = record.pop("sheets"), json.loads(second.record)["sheets"]
    assert (first.who, first.subject) == ("console", "safety")
    assert record == {
        "setting": "1", "quiz": "safety", "module_edition": "1", "program_edition": "1", "day": "2026-10-16",
        "judges": 2, "items": 5, "pass_mark": "4/5", "variance": "1/5000",
    }  # fmt: skip
    assert hashed.startswith("sha256:")
    assert hashed != other
    assert "Dana" not in first.record + second.record


def test_a_correction_is_another_record_and_stands_whatever_its_day(world: World) -> None:
    """What was recorded last stands; what stood before stays listed."""
    judged(world, DANA, day=date(2026, 10, 13))
    world.clock.forward(hours=1)
    judged(world, DANA, LEE, day=date(2026, 10, 3))
    assert [(one.row.number, len(one.sheets)) for one in asked(world)] == [(2, 2), (1, 1)]


def test_every_question_takes_a_day_and_a_moment(world: World) -> None:
    """What was judged later, or recorded later, is not there yet."""
    before = world.clock.now()
    world.clock.forward(hours=1)
    judged(world, DANA)
    assert asked(world, known_at=before) == []
    assert asked(world, on=date(2026, 10, 15)) == []
    assert len(asked(world)) == 1


def test_one_judge_alone_is_recorded_with_no_variance(world: World) -> None:
    """It is not defined, and the journal says so."""
    judged(world, DANA)
    with world.reading() as db:
        (entry,) = db.scalars(select(JournalEntry).where(JournalEntry.kind == "pass-mark-set"))
    assert json.loads(entry.record)["variance"] is None


def test_what_the_rules_find_wrong_is_refused_with_every_reason(world: World) -> None:
    """And nothing is stored, and nothing journaled."""
    said = refused(world, (DANA, Sheet("Dana Reyes", (80, 101))))
    assert "Dana Reyes stands there twice" in said
    assert "judged 2 of 5 items" in said
    assert "outside 0 to 100" in said
    assert "0 judges are entered" in refused(world, ())


def test_the_same_said_again_is_refused_and_anything_else_is_another_record(world: World) -> None:
    """A form filled in twice counts once; the same judges with another share, or on another day, are a correction."""
    assert judged(world, DANA, LEE) == 1
    assert "Exactly this stands already" in refused(world, (DANA, LEE))
    assert judged(world, DANA) == 2
    assert judged(world, DANA, LEE) == 3


def test_items_that_changed_meanwhile_have_to_be_judged_again(world: World) -> None:
    """An edition with the same items is none the worse; judging is about the newest, though it is still to come."""
    world.publish(small_files() | {"modules/safety.md": SAFETY.replace("once.", "twice.")}, number=2)
    assert judged(world, DANA, seen=1) == 1
    reworded = small_files() | {"quizzes/safety.yaml": QUIZ.replace("How long do you wash?", "How long, in seconds?")}
    world.publish(reworded, effective=date(2026, 12, 1), number=3)
    assert "they are now those of edition 3 of the program" in refused(world, seen=2)
    assert "The items have changed" in refused(world, seen=7)
    assert judged(world, DANA, seen=3) == 2
    assert asked(world)[0].row.program_edition == 3


@pytest.mark.parametrize("role", ["volunteer", "observer"])
def test_others_set_no_pass_mark(world: World, role: str) -> None:
    """Whatever page they came by."""
    world.add_person("x-01", role)
    with pytest.raises(NotAllowed, match="set pass marks"):
        judged(world, DANA, by=actor(world, "x-01"))
    assert stored(world) == (0, 0, 0)


def test_a_quiz_that_there_is_not_cannot_be_judged(world: World) -> None:
    """It is not found."""
    with pytest.raises(NotFound, match="quiz swimming"):
        judged(world, DANA, quiz="swimming")
