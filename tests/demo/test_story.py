"""What the story tells, seen from its end: every rule was at work, and the clearances are what they should be."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise

import pytest
from sqlalchemy import select

from mentor_training.clearance.queries import gate_at
from mentor_training.database.instance import Instance, open_instance
from mentor_training.database.making import make_instance
from mentor_training.demo.telling import tell
from mentor_training.evidence.facts import KINDS
from mentor_training.evidence.tables import Record
from mentor_training.hours.tables import HoursApproval, HoursEntry, StatementLine
from mentor_training.journal.queries import find_break, in_order
from mentor_training.learning.queries import all_held
from mentor_training.learning.tables import Attempt, Talk
from mentor_training.observing.queries.calibrations import calibration_for, result_for
from mentor_training.observing.queries.reviews import closed_files
from mentor_training.observing.tables import Observation, Standing
from mentor_training.papers.tables import PaperOnFile
from mentor_training.planning.queries.plan import gaps, standing_in
from mentor_training.planning.tables import Closing
from mentor_training.program.queries import known_editions, require_edition
from tests.demo.conftest import Told

DEMO_DAY = date(2026, 10, 17)
MORNING = datetime(2026, 10, 17, 12, 40, tzinfo=UTC)  # 08:40 in New York
FIRST_SESSION_HELD = datetime(2026, 9, 13, 12, 0, tzinfo=UTC)


def test_the_journal_holds_from_the_first_entry_to_the_last(demo: Instance) -> None:
    """The hash chain has no break."""
    with demo.database.reading() as db:
        assert find_break(db) is None


def test_the_story_is_never_told_backwards(demo: Instance) -> None:
    """Each entry of the journal is as late as the one before it or later, and none comes after the demo's morning."""
    with demo.database.reading() as db:
        moments = [entry.moment for entry in in_order(db)]
    assert all(earlier <= later for earlier, later in pairwise(moments))
    assert moments[-1] <= MORNING
    assert moments[0].date() == date(2026, 8, 10)


def test_every_kind_of_evidence_occurs(demo: Instance) -> None:
    """So that every rule about evidence has something to be looked at."""
    with demo.database.reading() as db:
        assert set(db.scalars(select(Record.kind).distinct())) == set(KINDS)


@pytest.mark.parametrize(
    ("person", "participant", "level", "reasons"),
    [
        ("v-001", None, 2, ["be signed off for Taking a role in an emergency"]),
        ("v-001", "p-01", 2, ["be signed off for Taking a role in an emergency"]),
        ("v-002", None, 0, ["CPR, AED and first aid card"]),
        ("v-003", None, 1, ["be signed off for Guarding a balance task"]),
        ("v-003", "p-02", 1, ["be signed off for Guarding a balance task"]),
        ("v-003", "p-01", 0, ["be signed off for Guarding a balance task"]),
        ("v-004", None, 0, ["complete the module Form cues"]),
        ("v-005", None, 2, ["Taking a role in an emergency", "Human guide"]),
        ("v-005", "p-01", 0, ["the card p-01@3 has not been read in its latest version"]),
    ],
)
def test_five_volunteers_stand_where_the_story_left_them(
    demo: Instance, person: str, participant: str | None, level: int, reasons: list[str]
) -> None:
    """At the balance lane on the demo day: level, and every reason why it is no higher."""
    with demo.database.reading() as db:
        decision = gate_at(db, MORNING).decide(person, "balance-lane", participant, DEMO_DAY)
    assert decision.level == level
    found = decision.reasons()
    assert len(found) == len(reasons), found
    assert all(wanted in said for wanted, said in zip(reasons, found, strict=True)), found


def test_teodor_was_cleared_until_his_card_lapsed_the_day_before(demo: Instance) -> None:
    """Independent on Friday through that very day, and nothing at all on Saturday."""
    with demo.database.reading() as db:
        gate = gate_at(db, MORNING)
        friday = gate.decide("v-002", "balance-lane", None, DEMO_DAY - timedelta(days=1))
        assert (friday.level, friday.holds_through) == (2, DEMO_DAY - timedelta(days=1))
        assert gate.decide("v-002", "balance-lane", None, DEMO_DAY).level == 0


def test_quill_lost_the_module_when_the_days_of_grace_were_over(demo: Instance) -> None:
    """Edition 2 took effect on 1 October; with 14 days of grace the earlier completion held through the 15th."""
    with demo.database.reading() as db:
        gate = gate_at(db, MORNING)
        assert gate.decide("v-004", "balance-lane", None, date(2026, 10, 15)).level == 2
        assert gate.decide("v-004", "balance-lane", None, date(2026, 10, 16)).level == 0


def test_the_stand_down_held_until_it_was_lifted(demo: Instance) -> None:
    """From the incident on 29 September through 7 October nothing at the resistance corner; from the 8th on again."""
    with demo.database.reading() as db:
        gate = gate_at(db, MORNING)
        levels = [
            gate.decide("v-012", "resistance-corner", None, date(2026, month, day)).level
            for month, day in ((9, 28), (9, 29), (10, 7), (10, 8))
        ]
        elsewhere = gate.decide("v-012", "target-games", None, date(2026, 10, 1)).level
    assert levels == [1, 0, 0, 1]
    assert elsewhere > 0


def test_linnea_has_no_mentor_because_her_card_is_overdue_for_review(demo: Instance) -> None:
    """In every block of the demo day's session, and that is said of the card and of nobody else."""
    with demo.database.reading() as db:
        found = [gap for gap in gaps(db, "s-11", MORNING) if gap.participant == "p-23"]
    assert [gap.block for gap in found] == [1, 2, 3, 4]
    assert {gap.cause for gap in found} == {"review_overdue"}


def test_nobody_stands_in_a_plan_who_is_not_cleared_for_it_then(demo: Instance) -> None:
    """Every placement of every session had its level when it was made; those of the demo day have it still."""
    with demo.database.reading() as db:
        gate = gate_at(db, MORNING)
        gate.load_everybody()
        for one in standing_in(db, "s-11"):
            placed = one.placed
            assert gate.decide(placed.mentor, placed.station, placed.participant, DEMO_DAY).level >= placed.level >= 1


def test_ten_sessions_were_closed_and_later_ones_were_not(demo: Instance) -> None:
    """s-01 to s-10."""
    with demo.database.reading() as db:
        closed = sorted(db.scalars(select(Closing.session)))
    assert closed == [f"s-{number:02}" for number in range(1, 11)]


def test_two_editions_are_published_and_the_second_asks_for_a_module_again(demo: Instance) -> None:
    """The second took effect in October; known as of September there is one."""
    with demo.database.reading() as db:
        assert len(known_editions(db, datetime(2026, 9, 30, 12, 0, tzinfo=UTC))) == 1
        program = require_edition(db, DEMO_DAY, MORNING).program
        assert require_edition(db, DEMO_DAY, MORNING).number == 2
    assert (program.modules["form-cues"].edition, program.modules["form-cues"].must_retake) == (2, True)
    assert "ask-before-more" in {caution.slug for caution in program.modules["form-cues"].cautions}


def test_quizzes_were_failed_held_talked_about_and_passed(demo: Instance) -> None:
    """One choice was unsafe; one was unsafe twice, and held until a talk; one is held still; the rest passed."""
    with demo.database.reading() as db:
        unsafe = {row.person for row in db.scalars(select(Attempt)) if row.unsafe}
        twice = list(db.scalars(select(Attempt).where(Attempt.person == "v-023", Attempt.quiz == "safety")))
        talks = list(db.scalars(select(Talk.person)))
        held = [one.person for one in all_held(db, require_edition(db, DEMO_DAY, MORNING).program, MORNING)]
    assert unsafe == {"v-016", "v-023"}
    assert [(row.passed, row.unsafe) for row in twice] == [
        (False, ("chest-signs",)), (False, ("chest-signs",)), (True, ()),
    ]  # fmt: skip
    assert talks == ["v-023"]
    assert held == ["v-033"]


def test_an_attempt_was_finished_the_morning_after(demo: Instance) -> None:
    """A closed laptop loses no answer."""
    with demo.database.reading() as db:
        row = db.scalars(select(Attempt).where(Attempt.person == "v-031", Attempt.quiz == "communication")).one()
    assert row.passed
    assert row.closed_at is not None
    assert row.closed_at - row.started_at > timedelta(hours=12)


def test_observations_came_to_everything_they_can_come_to(demo: Instance) -> None:
    """Met, not yet, and not counted for each of three reasons; a stop opened a review, which is closed."""
    with demo.database.reading() as db:
        results = set(db.scalars(select(Observation.result)))
        reasons = {word for text in db.scalars(select(Observation.not_counted)) for word in text.split(";") if word}
        reviews = [(one.review.person, not one.progress.is_open) for one in closed_files(db)]
    assert results == {"met", "not-yet", "not-countable"}
    assert reasons == {"late", "not-calibrated", "critical-not-seen"}
    assert ("v-012", True) in reviews


def test_the_fifth_observer_missed_an_unsafe_act_and_passed_another_set(demo: Instance) -> None:
    """Four passed in August; each standing rests on its result, and none was entered without one."""
    with demo.database.reading() as db:
        august, september = calibration_for(db, 1), calibration_for(db, 2)
        results = {code: result_for(db, august, code) for code in august.closed}
        again = result_for(db, september, "o-05")
        rests_on = {row.observer: row.calibration for row in db.scalars(select(Standing).filter_by(kind="calibrated"))}
    assert [code for code, one in sorted(results.items()) if one and one.passed] == ["o-01", "o-02", "o-03", "o-04"]
    assert [(one.has_share, len(one.missed)) for code, one in results.items() if one and code == "o-05"] == [(True, 1)]
    assert again is not None
    assert again.passed
    assert rests_on == {"o-01": 1, "o-02": 1, "o-03": 1, "o-04": 1, "o-05": 2}


def test_a_paper_was_declined_and_two_wait(demo: Instance) -> None:
    """The blurred card, which came again and was verified; a background check that came late, and a next card."""
    with demo.database.reading() as db:
        declined = list(db.scalars(select(PaperOnFile.person).where(PaperOnFile.declined_at.is_not(None))))
        waiting = db.execute(
            select(PaperOnFile.person, PaperOnFile.paper).where(
                PaperOnFile.verified_at.is_(None), PaperOnFile.declined_at.is_(None)
            )
        ).all()
    assert declined == ["v-009"]
    assert sorted(tuple(row) for row in waiting) == [("v-034", "cpr-aed"), ("v-037", "background-check")]


def test_september_is_stated_and_october_waits_or_is_approved(demo: Instance) -> None:
    """No entry after September stands on the statement; the last session's hours still wait, one with a flag."""
    with demo.database.reading() as db:
        stated = set(db.scalars(select(HoursEntry.day).join(StatementLine, StatementLine.entry == HoursEntry.id)))
        approved = set(db.scalars(select(HoursApproval.entry)))
        last = list(db.scalars(select(HoursEntry).where(HoursEntry.about == "s-10")))
        corrected = list(db.scalars(select(HoursEntry.minutes).where(HoursEntry.corrects.is_not(None))))
    assert max(stated) == date(2026, 9, 29)
    assert last
    assert not {row.id for row in last} & approved
    assert [row.person for row in last if row.flag] == ["v-016"]
    assert corrected == [-8]


def test_told_again_it_is_the_same_story(told: Told, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Every entry up to the first session is the same, hash for hash, in a process with another hash seed.

    What is drawn anew each time (invitations, verification codes, keys) never enters the journal.
    """
    folder = tmp_path_factory.mktemp("again") / "demo"
    make_instance(folder)
    again, first = open_instance(folder), open_instance(told.folder)
    tell(again, lambda _day: None, FIRST_SESSION_HELD)
    with again.database.reading() as here, first.database.reading() as there:
        found = [entry.hash for entry in in_order(here)]
        wanted = [entry.hash for entry in in_order(there)]
    again.database.close()
    first.database.close()
    assert len(found) > 1000
    assert found == wanted[: len(found)]
