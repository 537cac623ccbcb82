"""Calibrations through their actions: set up, keyed, scored, closed, and what a standing rests on."""

from __future__ import annotations

import json
from datetime import date, timedelta

import pytest
from sqlalchemy import func, select

from mentor_training.errors import NotAllowed, NotFound, Refused
from mentor_training.journal.tables import JournalEntry
from mentor_training.observing.actions.standings import end_standing
from mentor_training.observing.queries.calibrations import (
    calibration_for,
    calibrations,
    opened_for,
    progress_of,
    result_for,
    scored_by,
    standings_on,
)
from mentor_training.observing.queries.standings import standing_facts, was_calibrated
from mentor_training.observing.rules.standing import CALIBRATED, EVERY_SKILL, holding
from mentor_training.observing.tables import CalibrationClosing, CalibrationScore, Standing
from mentor_training.people.permissions import CONSOLE
from mentor_training.people.queries import actor_of, person_for
from tests.builders import FRIDAY, World
from tests.observing.floor import look, see
from tests.observing.staging import agree, call_calibrated, fill_staff, finish, mark, stage
from tests.small_program import GUARDING, PROGRAM, small_files

RIGHT = ("done not-done done another-way", "done stopped")
THROUGH = date(2027, 1, 31)


@pytest.fixture
def staff(world: World) -> World:
    """Give a world with those who set up and score calibrations."""
    fill_staff(world)
    return world


def journal(world: World, kind: str) -> list[tuple[str, str, dict[str, object]]]:
    """Return the entries of a kind: by whom, about what, and what they say."""
    with world.reading() as db:
        rows = db.scalars(select(JournalEntry).where(JournalEntry.kind == kind).order_by(JournalEntry.number))
        return [(row.who, row.subject, json.loads(row.record)) for row in rows]


def test_from_the_set_to_a_standing_that_rests_on_it(staff: World) -> None:
    """Set up, keyed, scored, closed, and called calibrated: from that day on what the observer sees counts."""
    row = stage(staff)
    result = finish(staff, "o-01", row.number, *RIGHT)
    assert (result.criteria, result.alike, result.acts, result.passed) == (6, 6, 2, True)
    standing = call_calibrated(staff, "c-01", row.number, "o-01", THROUGH)
    assert (standing.kind, standing.skill, standing.calibration) == ("calibrated", "*", row.number)
    assert (standing.first_day, standing.last_day) == (FRIDAY, THROUGH)
    with staff.reading() as db:
        now = staff.clock.now()
        assert was_calibrated(db, "o-01", "guarding", FRIDAY, now)
        assert not was_calibrated(db, "o-01", "guarding", FRIDAY - timedelta(days=1), now)
        held = holding(standing_facts(db, "o-01", now), CALIBRATED, EVERY_SKILL, FRIDAY)
        assert held is not None
        assert (held.fact.calibration, held.last_day) == (row.number, THROUGH)
        assert list(standings_on(db, row.number)) == ["o-01"]


def test_passing_alone_makes_no_standing_and_what_was_seen_meanwhile_stays_uncounted(staff: World) -> None:
    """An observation keeps why it was not counted, whatever the observer becomes later."""
    staff.add_person("v-001")
    number = stage(staff).number
    finish(staff, "o-01", number, *RIGHT)
    row = see(staff, "o-01", look("v-001"))
    assert "not-calibrated" in row.not_counted
    call_calibrated(staff, "c-01", number, "o-01", THROUGH)
    assert "not-calibrated" not in see(staff, "o-01", look("v-001", key="later")).not_counted
    with staff.reading() as db:
        db.add(row)
        assert "not-calibrated" in row.not_counted


def test_whoever_missed_an_unsafe_act_is_not_called_calibrated(staff: World) -> None:
    """Five of six marks as the key says are more than 80 percent, and the sixth was the stop; another set is open."""
    number = stage(staff).number
    result = finish(staff, "o-01", number, RIGHT[0], "done done")
    assert (result.has_share, len(result.missed), result.passed) == (True, 1, False)
    with pytest.raises(Refused, match="retrain, then have them score another one"):
        call_calibrated(staff, "c-01", number, "o-01", THROUGH)
    again = stage(staff).number
    assert finish(staff, "o-01", again, *RIGHT).passed
    assert call_calibrated(staff, "c-01", again, "o-01", THROUGH).calibration == again


def test_a_standing_is_given_once_by_a_coordinator_and_to_nobody_by_themselves(staff: World) -> None:
    """A course instructor sets up and looks, and does not call anybody calibrated."""
    number = stage(staff).number
    for code in ("o-01", "b-01"):
        finish(staff, code, number, *RIGHT)
    with pytest.raises(Refused, match="have not closed"):
        call_calibrated(staff, "c-01", number, "o-02", THROUGH)
    with pytest.raises(NotAllowed):
        call_calibrated(staff, "i-01", number, "o-01", THROUGH)
    with pytest.raises(Refused, match="Nobody calls themselves calibrated"):
        call_calibrated(staff, "b-01", number, "b-01", THROUGH)
    with pytest.raises(Refused, match="before it begins"):
        call_calibrated(staff, "c-01", number, "o-01", FRIDAY - timedelta(days=1))
    call_calibrated(staff, "c-01", number, "o-01", THROUGH)
    with pytest.raises(Refused, match="rests on this result already"):
        call_calibrated(staff, "c-01", number, "o-01", THROUGH)
    with staff.reading() as db:
        assert db.scalar(select(func.count()).select_from(Standing)) == 1


def test_a_standing_that_was_ended_ends_on_the_day_before(staff: World) -> None:
    """What was entered after an end stands for itself."""
    number = stage(staff).number
    finish(staff, "o-01", number, *RIGHT)
    call_calibrated(staff, "c-01", number, "o-01", THROUGH)
    ends = FRIDAY + timedelta(days=30)
    with staff.writing() as db:
        end_standing(db, staff.clock.now(), CONSOLE, "o-01", "calibrated", "*", ends)
    with staff.reading() as db:
        facts = standing_facts(db, "o-01", staff.clock.now())
        held = holding(facts, CALIBRATED, EVERY_SKILL, FRIDAY)
    assert held is not None
    assert held.last_day == ends - timedelta(days=1)
    assert holding(facts, CALIBRATED, EVERY_SKILL, ends) is None


def test_a_key_is_frozen_once_somebody_has_scored(staff: World) -> None:
    """Before that another one replaces it, and the newest stands."""
    number = stage(staff).number
    agree(staff, number, 1, "done done done done")
    with staff.reading() as db:
        assert [mark.accepted for mark in calibration_for(db, number).staged_at(1).key] == [("done",)] * 4
    mark(staff, "o-01", number, 2, "done stopped")
    for place in (1, 2):
        with pytest.raises(Refused, match="make a new set instead"):
            agree(staff, number, place, "done done done done" if place == 1 else "done done")


def test_a_key_names_two_people_and_a_mark_for_each_criterion(staff: World) -> None:
    """What is wrong is said with every reason, and nothing is stored."""
    staff.add_person("v-001")
    number = stage(staff, keyed=False).number
    with pytest.raises(Refused, match="Criterion 4: Agree on a mark"):
        agree(staff, number, 1, "done done done")
    with pytest.raises(Refused, match="2 different people"):
        agree(staff, number, 1, "done done done done", who=("i-01", "i-01"))
    with pytest.raises(Refused, match="Observers, course instructors and coordinators"):
        agree(staff, number, 1, "done done done done", who=("i-01", "v-001"))
    with pytest.raises(NotFound):
        agree(staff, number, 3, "done done")
    with pytest.raises(NotAllowed):
        agree(staff, number, 1, "done done done done", by="o-01")
    assert journal(staff, "calibration-key") == []


def test_nobody_scores_who_knows_the_key_or_before_it_is_there_and_due(staff: World) -> None:
    """Whoever agreed, typed it in or set the set up; and a set for tomorrow waits."""
    number = stage(staff, by="b-01", keyed=False).number
    with pytest.raises(Refused, match="not agreed yet"):
        mark(staff, "o-01", number, 2, "done stopped")
    agree(staff, number, 1, "done done done done", who=("i-01", "o-02"))
    agree(staff, number, 2, "done done")
    for code in ("o-02", "b-01"):
        with pytest.raises(Refused, match="You know the key"):
            mark(staff, code, number, 2, "done stopped")
    with pytest.raises(NotAllowed):
        mark(staff, "i-02", number, 2, "done stopped")
    later = stage(staff, day=FRIDAY + timedelta(days=1)).number
    with pytest.raises(Refused, match="This set is for 2026-10-17 and later"):
        mark(staff, "o-01", later, 2, "done stopped")


def test_scores_are_taken_up_where_they_were_left_and_final_once_closed(staff: World) -> None:
    """Marked again the newest stands, and every row stays; closed, nothing is added."""
    number = stage(staff).number
    mark(staff, "o-01", number, 2, "done done")
    with staff.reading() as db:
        assert progress_of(db, calibration_for(db, number), "o-01").left == {1}
    with pytest.raises(Refused, match="Score what is left first: 1"):
        finish(staff, "o-01", number)
    with pytest.raises(Refused, match="Criterion 2: Mark this one too"):
        mark(staff, "o-01", number, 1, "done")
    mark(staff, "o-01", number, 2, "done stopped")
    assert finish(staff, "o-01", number, RIGHT[0]).passed
    for closed in ((RIGHT[0],), ()):
        with pytest.raises(Refused, match="You have closed this set"):
            finish(staff, "o-01", number, *closed)
    with staff.reading() as db:
        assert db.scalar(select(func.count()).select_from(CalibrationScore)) == 3
        assert db.scalar(select(func.count()).select_from(CalibrationClosing)) == 1
        assert [one.mark for one in scored_by(db, number, "o-01")[2].values()] == ["done", "stopped"]
        assert result_for(db, calibration_for(db, number), "o-02") is None


def test_a_set_opens_to_whoever_also_observes_once_their_own_scores_are_closed(staff: World) -> None:
    """A coordinator who observes would else know the key; one who set it up knows it, and does not score it."""
    number, own = stage(staff).number, stage(staff, by="b-01").number
    with staff.reading() as db:
        both, instructor = actor_of(person_for(db, "b-01")), actor_of(person_for(db, "i-02"))
        assert opened_for(db, both, own).row.number == own
        assert opened_for(db, instructor, number).row.number == number
        with pytest.raises(NotAllowed):
            opened_for(db, both, number)
        with pytest.raises(NotAllowed):
            opened_for(db, actor_of(person_for(db, "o-01")), number)
    finish(staff, "b-01", number, *RIGHT)
    with staff.reading() as db:
        assert opened_for(db, both, number).closed.keys() == {"b-01"}
        assert [one.row.number for one in calibrations(db)] == [own, number]
        with pytest.raises(NotFound):
            calibration_for(db, 9)


def test_a_set_keeps_the_criteria_and_the_share_of_the_edition_it_was_set_up_under(staff: World) -> None:
    """A later edition changes neither."""
    number = stage(staff).number
    changed = GUARDING.replace("  - text: Talks calmly.\n", "")
    stricter = PROGRAM + "agreement_share = 1.0\n"
    staff.publish(small_files() | {"program/skills/guarding.md": changed, "program/program.toml": stricter}, FRIDAY, 2)
    with staff.reading() as db:
        found = calibration_for(db, number)
    assert (len(found.staged_at(1).skill.criteria), found.least_share) == (4, 0.8)
    later = stage(staff, keyed=False).number
    with staff.reading() as db:
        found = calibration_for(db, later)
    assert (len(found.staged_at(1).skill.criteria), found.least_share) == (3, 1.0)


def test_the_journal_holds_codes_marks_and_figures_and_no_line_of_text(staff: World) -> None:
    """What is played, where it lies and what another way was stand there as their hash."""
    number = stage(staff).number
    finish(staff, "o-01", number, *RIGHT)
    call_calibrated(staff, "c-01", number, "o-01", THROUGH)
    ((who, about, told),) = journal(staff, "calibration-set-up")
    assert (who, about, told["skills"], told["edition"]) == ("i-01", "1", ["guarding", "leading"], 1)
    keys = journal(staff, "calibration-key")
    assert [key[2]["marks"] for key in keys][1] == [["done"], ["stopped"]]
    assert keys[0][2]["agreed_by"] == ["i-01", "c-01"]
    assert [one[2]["marks"] for one in journal(staff, "calibration-scored")][1] == ["done", "stopped"]
    ((_, about, told),) = journal(staff, "calibration-closed")
    assert (about, told["alike"], told["missed"], told["passed"]) == ("o-01", 6, 0, True)
    assert journal(staff, "standing")[-1][2]["calibration"] == number
    with staff.reading() as db:
        whole = " ".join(db.scalars(select(JournalEntry.record).where(JournalEntry.kind.startswith("calibration"))))
    assert not [
        line for line in ("Before the term", "By the rail", "Stands too", "Clip 1", "as agreed") if line in whole
    ]
