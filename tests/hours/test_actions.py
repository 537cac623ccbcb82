"""Entering, adjusting and approving hours, on a real database."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta

import pytest
from sqlalchemy.orm import Session

from mentor_training.errors import NotFound, Refused
from mentor_training.evidence.actions import record
from mentor_training.evidence.queries import facts_of
from mentor_training.hours.actions import (
    adjust,
    approve,
    enter_by_hand,
    enter_module,
    enter_session,
    enter_training_for,
)
from mentor_training.hours.queries import entries_of, log_for
from mentor_training.hours.tables import HoursEntry
from mentor_training.journal.queries import entries, find_break
from mentor_training.people.permissions import CONSOLE, Actor
from mentor_training.people.queries import person_for
from mentor_training.program.queries import require_edition
from tests.builders import FRIDAY, NOON, World
from tests.small_program import SAFETY, small_files

INSTRUCTOR = Actor("i-01", "Hadrian", frozenset({"course-instructor"}), ("KIN-372-A",))
DAY = date(2026, 10, 13)


@pytest.fixture
def term(world: World) -> World:
    """Give a world with two volunteers, one of them in a section, and its instructor."""
    world.add_person("v-001", sections="KIN-372-A")
    world.add_person("v-040")
    world.add_person("i-01", "course-instructor", sections="KIN-372-A")
    return world


def at_session(
    db: Session, starts: str, ends: str, day: date = DAY, person: str = "v-001", code: str = "s-10"
) -> HoursEntry:
    came, left = (datetime.fromisoformat(f"{day}T{clock}:00+00:00") for clock in (starts, ends))
    return enter_session(db, NOON, "o-01", person, code, day, came, left)


def test_a_session_is_entered_to_the_minute_as_direct_hours(term: World) -> None:
    """From check-in to check-out; the journal carries the entry and no name."""
    with term.writing() as db:
        row = at_session(db, "13:30", "15:07")
        assert (row.category, row.minutes, row.about, row.source) == ("direct", 97, "s-10", "session")
        told = entries(db, subject="v-001", kind="hours-entered")[0]
        assert '"minutes":97' in told.record


def test_an_overlapping_session_is_refused_naming_both_and_nothing_is_stored(term: World) -> None:
    """Nobody is in two places."""
    with term.writing() as db:
        at_session(db, "13:30", "15:00")
        with pytest.raises(
            Refused, match=r"Session s-11.*14:59 to 16:00 UTC, overlaps entry 1 \(s-10.*13:30 to 15:00 UTC"
        ):
            at_session(db, "14:59", "16:00", code="s-11")
        at_session(db, "15:00", "16:00", code="s-11")
        at_session(db, "14:00", "15:00", person="v-040")
        assert [one.minutes for one in entries_of(db, ("v-001",))] == [90, 60]


def test_hours_of_somebody_unknown_are_refused(term: World) -> None:
    """A code that nobody has is named."""
    with term.writing() as db, pytest.raises(NotFound, match="person v-999"):
        at_session(db, "13:30", "15:00", person="v-999")


def test_a_completed_module_counts_its_minutes_once_for_each_edition(term: World) -> None:
    """The second edition's own minutes count besides the first's; a voided completion counts for nothing."""
    term.publish(second_edition(), date(2026, 10, 1), 2)
    with term.writing() as db:
        record(db, NOON, "v-001", "v-001", "completed", "module/safety@1", date(2026, 9, 5))
        program = require_edition(db, FRIDAY, NOON).program
        assert [row.minutes for row in enter_training_for(db, NOON, "v-001", program)] == [20]
        assert enter_training_for(db, NOON, "v-001", program) == []
        record(db, NOON, "v-001", "v-001", "completed", "module/safety@2", DAY)
        record(db, NOON, "v-001", "v-001", "completed", "module/safety", FRIDAY)
        assert [row.minutes for row in enter_training_for(db, NOON, "v-001", program)] == [25]
        taken = record(db, NOON, "v-040", "v-040", "completed", "module/safety@1", DAY)
        record(db, NOON, "console", "v-040", "voided", "module/safety@1", DAY, refers_to=taken.code)
        assert enter_training_for(db, NOON, "v-040", program) == []
        first = enter_module(db, NOON, "v-001", "v-001", "safety", 1, 20, DAY)
        assert first.day == date(2026, 9, 5)


def test_a_completion_that_came_with_the_register_brings_its_hours_with_it(term: World) -> None:
    """Its training is not entered once more."""
    term.hold("v-001", "module/safety@1")
    with term.writing() as db:
        assert enter_training_for(db, NOON, "v-001", require_edition(db, FRIDAY, NOON).program) == []


def second_edition() -> dict[str, str]:
    """Return the small program with a second edition of its module, five minutes longer."""
    files = small_files()
    files["modules/safety.md"] = SAFETY.replace("edition: 1", "edition: 2").replace("minutes: 20", "minutes: 25")
    files["quizzes/safety.yaml"] = files["quizzes/safety.yaml"].replace("edition: 1", "edition: 2")
    return files


def by_hand(
    db: Session, by: Actor, person: str = "v-001", category: str = "preparation", reason: str = "Set-up"
) -> HoursEntry:
    came = datetime(2026, 10, 13, 20, 0, tzinfo=UTC)
    return enter_by_hand(db, NOON, by, person, category, DAY, came, came + timedelta(minutes=45), reason)


def test_preparation_is_entered_by_hand_by_oneself_or_the_approver_with_a_reason(term: World) -> None:
    """Another volunteer may not, direct hours come from check-in, and what has not ended cannot be entered."""
    myself = Actor("v-001", "Odalys", frozenset({"volunteer"}), ("KIN-372-A",))
    with term.writing() as db:
        row = by_hand(db, myself)
        assert (row.minutes, row.reason, row.entered_by) == (45, "Set-up", "v-001")
        refused: list[Callable[[], HoursEntry]] = [
            lambda: by_hand(db, Actor("v-040", "Quill", frozenset({"volunteer"}))),
            lambda: by_hand(db, INSTRUCTOR, category="direct"),
            lambda: by_hand(db, INSTRUCTOR, reason="  "),
            lambda: by_hand(db, INSTRUCTOR),
            lambda: enter_by_hand(
                db, NOON, INSTRUCTOR, "v-001", "preparation", FRIDAY, NOON, NOON + timedelta(minutes=1), "x"
            ),
        ]
        for ask in refused:
            with pytest.raises(Refused):
                ask()
        assert by_hand(db, CONSOLE, "v-040", "orientation").category == "orientation"


def test_approved_hours_become_evidence_of_the_entrys_own_day(term: World) -> None:
    """Kind hours, the category as item, the minutes as note; approving again changes nothing."""
    with term.writing() as db:
        row = at_session(db, "13:30", "15:07")
        assert [one.id for one in approve(db, NOON, INSTRUCTOR, [row.id])] == [row.id]
        fact = facts_of(db, "v-001", NOON)[0]
        assert (fact.kind, fact.item, fact.note, fact.first_day) == ("hours", "direct", "97", DAY)
        with pytest.raises(Refused, match="still waits"):
            approve(db, NOON, INSTRUCTOR, [row.id])
        assert len(facts_of(db, "v-001", NOON)) == 1


def test_only_the_sections_instructor_approves_and_one_no_stops_all(term: World) -> None:
    """The coordinator approves for those in no section; nobody approves their own."""
    both = Actor("v-001", "Odalys", frozenset({"volunteer", "course-instructor"}), ("KIN-372-A",))
    with term.writing() as db:
        mine, other = at_session(db, "13:30", "15:00"), at_session(db, "13:30", "15:00", person="v-040")
        for actor, ids in ((both, [mine.id]), (CONSOLE, [mine.id]), (INSTRUCTOR, [mine.id, other.id])):
            with pytest.raises(Refused):
                approve(db, NOON, actor, ids)
        assert facts_of(db, "v-001", NOON) == ()
        approve(db, NOON, CONSOLE, [other.id])
        approve(db, NOON, INSTRUCTOR, [mine.id])


def test_an_adjustment_is_an_entry_of_its_own_and_the_first_stays_as_it_was(term: World) -> None:
    """It waits with its entry, and is approved with it."""
    with term.writing() as db:
        row = at_session(db, "13:30", "15:00")
        less = adjust(db, NOON, INSTRUCTOR, row.id, -30, "Left after the third block.")
        assert (row.minutes, less.minutes, less.corrects, less.day) == (90, -30, row.id, DAY)
        assert "third block" not in entries(db, kind="hours-adjusted")[0].record
        assert len(approve(db, NOON, INSTRUCTOR, [row.id])) == 2
        assert sum(int(fact.note) for fact in facts_of(db, "v-001", NOON)) == 60


def test_an_adjustment_of_an_approved_entry_counts_at_once(term: World) -> None:
    """Whoever adjusts is who would approve."""
    with term.writing() as db:
        row = at_session(db, "13:30", "15:00")
        approve(db, NOON, INSTRUCTOR, [row.id])
        adjust(db, NOON, INSTRUCTOR, row.id, 15, "Stayed for the close-down.")
        assert sum(int(fact.note) for fact in facts_of(db, "v-001", NOON)) == 105
        assert all(one.approved_by for one in entries_of(db, ("v-001",)))


@pytest.mark.parametrize(
    ("difference", "reason", "said"),
    [
        (0, "x", "corrects nothing"),
        (-91, "x", "-91 it would be -1"),
        (10, " ", "Write the reason"),
        (1351, "x", "1441"),
    ],
)
def test_an_adjustment_that_makes_no_sense_is_refused(term: World, difference: int, reason: str, said: str) -> None:
    """No difference, less than nothing, more than a day, no reason."""
    with term.writing() as db:
        row = at_session(db, "13:30", "15:00")
        with pytest.raises(Refused, match=said):
            adjust(db, NOON, INSTRUCTOR, row.id, difference, reason)


@pytest.mark.parametrize("kind", ["voided", "withdrawn"])
def test_what_was_struck_after_its_approval_is_not_adjusted(term: World, kind: str) -> None:
    """A correction of minutes that count no more would take other minutes away, or give some out of nothing."""
    with term.writing() as db:
        row = at_session(db, "13:30", "15:00")
        approve(db, NOON, INSTRUCTOR, [row.id])
        code = entries_of(db, ("v-001",))[0].record
        record(db, NOON, "c-01", "v-001", kind, "direct", DAY, refers_to=code, note="Somebody else's.")
        for difference in (-30, 15):
            with pytest.raises(Refused, match="was withdrawn after it was approved"):
                adjust(db, NOON, INSTRUCTOR, row.id, difference, "Left early.")
        assert log_for(db, person_for(db, "v-001"), FRIDAY, NOON).sum_of("direct").approved == 0


@pytest.mark.parametrize("day", ["0001-01-01", "1066-10-14", "9999-12-31"])
def test_a_day_that_no_record_could_be_about_is_refused_before_it_waits_for_approval(term: World, day: str) -> None:
    """Later it would hold up the approval of everything that is ticked with it."""
    own, zone = Actor("v-001", "Odalys", frozenset({"volunteer"})), term.instance.settings.zone
    came, left = (datetime.fromisoformat(f"{day}T{clock}").replace(tzinfo=zone) for clock in ("22:00", "23:30"))
    with term.writing() as db, pytest.raises(Refused, match="is no day of this program"):
        enter_by_hand(db, NOON, own, "v-001", "preparation", came.date(), came, left, "Set up.")


def test_an_adjustment_is_not_adjusted_and_a_stranger_adjusts_nothing(term: World) -> None:
    """The refusal names the entry to adjust, and who may."""
    with term.writing() as db:
        row = at_session(db, "13:30", "15:00")
        less = adjust(db, NOON, INSTRUCTOR, row.id, -30, "Left early.")
        with pytest.raises(Refused, match=f"adjust entry {row.id}"):
            adjust(db, NOON, INSTRUCTOR, less.id, 5, "x")
        with pytest.raises(Refused, match="instructor of KIN-372-A"):
            adjust(db, NOON, CONSOLE, row.id, 5, "x")


def test_the_log_is_read_as_it_was_known_then(term: World) -> None:
    """Entries of later days and approvals of later moments are left out; voided evidence no longer counts."""
    with term.writing() as db:
        row = at_session(db, "13:30", "15:00")
        later = NOON + timedelta(hours=1)
        approve(db, later, INSTRUCTOR, [row.id])
        person = person_for(db, "v-001")
        assert log_for(db, person, FRIDAY, NOON).sum_of("direct").waiting == 90
        assert log_for(db, person, FRIDAY, later).sum_of("direct").approved == 90
        assert log_for(db, person, DAY - timedelta(days=1), later).entries == ()
        code = facts_of(db, "v-001", later)[0].code
        record(db, later, "console", "v-001", "voided", "direct", DAY, refers_to=code)
        voided = log_for(db, person, FRIDAY, later)
        assert (voided.sum_of("direct").approved, voided.unstated) == (0, ())


def test_hours_of_the_register_count_toward_the_requirement(term: World) -> None:
    """What moved in with the register is approved already and has no entry."""
    with term.writing() as db:
        record(db, NOON, "console", "v-001", "hours", "direct", DAY, note="300")
        found = log_for(db, person_for(db, "v-001"), FRIDAY, NOON).sum_of("direct")
        assert (found.approved, found.missing) == (300, 300)


def test_every_act_leaves_the_journals_chain_whole(term: World) -> None:
    """Entered, adjusted, approved: one entry each at least, and the chain holds."""
    with term.writing() as db:
        row = at_session(db, "13:30", "15:00")
        adjust(db, NOON, INSTRUCTOR, row.id, -30, "Left early.")
        approve(db, NOON, INSTRUCTOR, [row.id])
        kinds = {one.kind for one in entries(db, subject="v-001")}
        assert {"hours-entered", "hours-adjusted", "hours-approved", "hours"} <= kinds
        assert find_break(db) is None
