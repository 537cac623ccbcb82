"""Reviews: what may be done about one, step by step, and what striking an observation takes away."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from mentor_training.errors import NotAllowed, NotFound, Refused
from mentor_training.evidence.corrections import effects
from mentor_training.evidence.queries import facts_of
from mentor_training.journal.queries import entries, find_break
from mentor_training.observing.actions import reviews
from mentor_training.observing.actions.striking import strike
from mentor_training.observing.queries.history import history_of, shown_observations
from mentor_training.observing.queries.reviews import answers_to, file_of, open_files, review_for
from mentor_training.observing.rules.reviews import Again, Progress, Step, objections_to_answer, progress
from mentor_training.people.permissions import CONSOLE, Actor
from mentor_training.people.queries import actor_of, person_for
from tests.builders import FRIDAY, World
from tests.observing.floor import look, see, see_on, sign

THURSDAY = FRIDAY - timedelta(days=1)
MONDAY = FRIDAY - timedelta(days=4)
STOP = "stopped done done done"


def actor(world: World, code: str) -> Actor:
    """Return somebody as who acts."""
    with world.reading() as db:
        return actor_of(person_for(db, code))


def test_a_review_stands_as_its_steps_say() -> None:
    """The newest assignment counts, and a new plan asks for a new answer."""
    steps = [
        Step(1, "assigned", assignee="o-01"),
        Step(2, "stood-down", record="r-0001"),
        Step(3, "planned"),
        Step(4, "seen-again", observation=7),
        Step(5, "assigned", assignee="o-02"),
    ]
    assert progress(steps) == Progress("o-02", True, (7,), ("r-0001",), "")
    assert progress(steps[::-1]) == progress(steps)
    again = progress([*steps, Step(6, "planned")])
    assert (again.answers, again.is_answered, again.is_open) == ((), False, True)
    assert progress([]).is_answered
    assert progress([*steps, Step(6, "released")]).ended == "released"


GOOD = Again(9, "v-001", "guarding", FRIDAY, "met")


@pytest.mark.parametrize(
    ("again", "word"),
    [
        (Again(9, "v-002", "guarding", FRIDAY, "met"), "somebody else"),
        (Again(9, "v-001", "leading", FRIDAY, "met"), "another skill"),
        (Again(9, "v-001", "guarding", THURSDAY, "met"), "before the review"),
        (Again(9, "v-001", "guarding", FRIDAY, "met", entered_after=False), "before the review"),
        (Again(9, "v-001", "guarding", FRIDAY, "met", struck=True), "struck"),
        (Again(9, "v-001", "guarding", FRIDAY, "not-yet"), "a met one answers"),
        (Again(7, "v-001", "guarding", FRIDAY, "met"), "answers it already"),
    ],
)
def test_only_a_met_observation_of_the_same_skill_seen_since_answers(again: Again, word: str) -> None:
    """Each that does not says why."""
    found = Progress(has_plan=True, answers=(7,))
    assert [word in why for why in objections_to_answer(found, "v-001", "guarding", FRIDAY, again)] == [True]
    assert objections_to_answer(found, "v-001", "guarding", FRIDAY, GOOD) == ()
    assert objections_to_answer(found, "v-001", "", FRIDAY, GOOD) == ()


def test_a_review_is_assigned_planned_answered_and_released_by_steps_of_their_own(floor: World) -> None:
    """Whoever it is assigned to sees it and works on it; the coordinator releases; the journal holds no words."""
    see_on(floor, MONDAY, "o-01", "v-001", STOP)
    now, coordinator, second = floor.clock.now(), actor(floor, "c-01"), actor(floor, "o-02")
    private = "a-private-word"
    with floor.writing() as db:
        with pytest.raises(NotAllowed):
            review_for(db, second, 1)
        reviews.assign(db, now, coordinator, 1, "o-02")
        assert [one.review.id for one in open_files(db, second)] == [1]
        reviews.plan_again(db, now, second, 1, private)
        with pytest.raises(Refused, match="has not been seen yet"):
            reviews.note_release(db, now, coordinator, 1, "Fine.")
        for act in (reviews.note_release, reviews.close_review):
            with pytest.raises(NotAllowed):
                act(db, now, second, 1, "Fine.")
    row = see(floor, "o-02", look("v-001"))
    with floor.writing() as db:
        assert [one.id for one in answers_to(db, review_for(db, second, 1), now)] == [row.id]
        reviews.answer(db, now, second, 1, row.id)
        reviews.note_release(db, now, coordinator, 1, private)
        kinds = [step.kind for step in file_of(db, review_for(db, coordinator, 1)).steps]
        assert kinds == ["assigned", "planned", "seen-again", "released"]
        written = [entry for entry in entries(db, "v-001") if entry.kind.startswith("review-")]
        assert {entry.kind for entry in written} >= {f"review-{kind}" for kind in kinds}
        assert all(private not in entry.record for entry in written)
        assert find_break(db) is None


def test_what_is_wrong_with_a_step_is_said_and_nothing_is_stored(floor: World) -> None:
    """No words, too many, somebody who is no observer, an observation nobody knows, an answer before a plan."""
    see_on(floor, MONDAY, "o-01", "v-001", STOP)
    now, by = floor.clock.now(), actor(floor, "c-01")
    row = see(floor, "o-02", look("v-001"))
    with floor.writing() as db:
        with pytest.raises(Refused, match="neither an observer nor"):
            reviews.assign(db, now, by, 1, "v-001")
        with pytest.raises(Refused, match="has to be shown again"):
            reviews.plan_again(db, now, by, 1, " ")
        with pytest.raises(Refused, match="2001 characters"):
            reviews.plan_again(db, now, by, 1, "x" * 2001)
        with pytest.raises(Refused, match="Write first"):
            reviews.answer(db, now, by, 1, row.id)
        with pytest.raises(NotFound, match="observation 99"):
            reviews.answer(db, now, by, 1, 99)
        assert file_of(db, review_for(db, by, 1)).steps == ()


def test_nobody_works_on_a_review_about_themselves(floor: World) -> None:
    """Not even a coordinator who is a volunteer as well."""
    floor.add_person("x-01", "volunteer;coordinator;observer")
    see_on(floor, MONDAY, "o-01", "x-01", STOP)
    now, own = floor.clock.now(), actor(floor, "x-01")
    with floor.writing() as db:
        with pytest.raises(Refused, match="about themselves"):
            reviews.close_review(db, now, own, 1, "All good.")
        with pytest.raises(Refused, match="about themselves"):
            reviews.assign(db, now, actor_of(person_for(db, "c-01")), 1, "x-01")
        with pytest.raises(Refused, match="of themselves"):
            strike(db, now, own, 1, "A slip.")


def test_a_mis_tapped_stop_that_was_struck_stays_visible_and_does_not_count(floor: World) -> None:
    """The count is what it was before; the sign-off goes through; the review waits still until it is closed."""
    see_on(floor, MONDAY, "o-01", "v-001")
    slip = see_on(floor, THURSDAY, "o-02", "v-001", STOP)
    see_on(floor, FRIDAY, "o-02", "v-001")
    with pytest.raises(Refused, match="Not ready"):
        sign(floor, "o-01", "v-001")
    now = floor.clock.now()
    with floor.writing() as db:
        strike(db, now, CONSOLE, slip.id, "The thumb slipped; nothing was stopped.")
        with pytest.raises(Refused, match="struck already"):
            strike(db, now, CONSOLE, slip.id, "Again.")
        with pytest.raises(Refused, match="Write why"):
            strike(db, now, CONSOLE, 1, " ")
        shown = shown_observations(db, CONSOLE, "v-001", "guarding", now)
        assert [one.strike is not None for one in shown] == [False, True, False]
        assert len(open_files(db, CONSOLE)) == 1
        said = " ".join(entry.record for entry in entries(db, "v-001"))
        assert "thumb" not in said
        before = history_of(db, "v-001", "guarding", now - timedelta(seconds=1))
    assert sign(floor, "o-01", "v-001").observations == ("1", "3")
    assert [one.struck for one in before] == [False, False]


def test_striking_a_met_observation_voids_its_record(floor: World) -> None:
    """Clearance and readiness forget it together; one whose record was voided before is struck all the same."""
    row = see_on(floor, MONDAY, "o-01", "v-001")
    now = floor.clock.now()
    with floor.writing() as db:
        strike(db, now, CONSOLE, row.id, "The wrong person.")
        facts = facts_of(db, "v-001", now)
        assert [fact.kind for fact in facts] == ["met", "voided"]
        assert row.record in effects(facts).voided


def test_only_the_coordinator_strikes(floor: World) -> None:
    """An observer who slipped asks; the volunteer has no say in it."""
    see_on(floor, MONDAY, "o-01", "v-001", STOP)
    for code in ("o-01", "v-001"):
        with floor.writing() as db, pytest.raises(NotAllowed):
            strike(db, floor.clock.now(), actor_of(person_for(db, code)), 1, "A slip.")


def test_a_day_says_when_a_review_can_be_answered(floor: World) -> None:
    """What was seen on an earlier day and arrives later answers nothing."""
    see_on(floor, THURSDAY, "o-01", "v-001", STOP)
    late = see(floor, "o-02", look("v-001", day=date(2026, 10, 12)))
    now, by = floor.clock.now(), actor(floor, "c-01")
    with floor.writing() as db:
        reviews.plan_again(db, now, by, 1, "The whole skill.")
        assert answers_to(db, review_for(db, by, 1), now) == []
        with pytest.raises(Refused, match="before the review"):
            reviews.answer(db, now, by, 1, late.id)
