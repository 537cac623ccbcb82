"""Who can come decides who is offered and proposed; who is placed stays until somebody decides."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from mentor_training.calendar.queries import said
from mentor_training.errors import NotAllowed, NotFound, Refused, Stale
from mentor_training.journal.queries import entries
from mentor_training.people.permissions import Actor
from mentor_training.planning.actions.coming import check_in
from mentor_training.planning.actions.saying import attend, say_when
from mentor_training.planning.gaps import CANNOT_COME, Gap
from mentor_training.planning.queries.asking import open_floor, question_of
from mentor_training.planning.queries.board import board_of
from mentor_training.planning.queries.covering import all_covered, at_hand, covered, opening_asked
from mentor_training.planning.queries.doubts import doubts_of
from mentor_training.planning.queries.plan import Plan, gaps_of, plan_for, standing_in
from mentor_training.planning.solver.repairing import Missing, repair
from mentor_training.planning.solver.search import best_plan
from tests.builders import World
from tests.planning.saturday import COORDINATES, SATURDAY, VOLUNTEERS, ZONE, accept_best, at, best_for, put

TODAY = date(2026, 10, 16)
HIMSELF = Actor("v-002", "Person v-002", frozenset({"volunteer"}))


def tell(
    world: World, person: str, answer: str = "cannot", about: str = "session", which: str = "s-11",
    by: Actor = COORDINATES,
) -> bool:  # fmt: skip
    with world.writing() as db:
        return say_when(db, world.clock.now(), by, person, about, which, answer, TODAY)


def mark(world: World, **attended: set[int]) -> int:
    """Say which blocks participants attend, `p_01={2}`."""
    blocks = {code.replace("_", "-"): those for code, those in attended.items()}
    with world.writing() as db:
        return attend(db, world.clock.now(), COORDINATES, "s-11", blocks, 99)


def plan(world: World) -> Plan:
    with world.reading() as db:
        found = plan_for(db, "s-11", world.clock.now())
        found.gate.load_everybody()
        return found


def gaps(world: World) -> dict[tuple[int, str], Gap]:
    with world.reading():
        return {(one.block, one.participant): one for one in gaps_of(plan(world))}


def test_who_cannot_come_is_not_proposed(floor: World) -> None:
    """Neither as a mentor nor as a lead, in the blocks that they named; in the others they are."""
    tell(floor, "v-002", "blocks 2")
    tell(floor, "v-001", "cannot")
    found = best_for(floor).added
    assert {one.block for one in found if one.mentor == "v-002"} <= {2}
    assert "v-001" not in {one.mentor for one in found}
    assert found


def test_a_standing_placement_stays_covers_nobody_and_waits_for_a_decision(floor: World) -> None:
    """By whom it was said and since when is known; a placement made knowing it is told apart."""
    put(floor, 1, "balance-lane", "v-002", "p-01")
    assert (1, "p-01") not in gaps(floor)
    floor.clock.moment += timedelta(hours=1)
    assert tell(floor, "v-002", by=HIMSELF)
    gap = gaps(floor)[1, "p-01"]
    assert (gap.have, gap.wanted) == (0, 1)
    assert gap.because.startswith("Person v-002, who is placed, says that they cannot come. ")
    with floor.reading() as db:
        assert [one.placed.mentor for one in standing_in(db, "s-11")] == ["v-002"]
        (doubt,) = doubts_of(db, plan_for(db, "s-11", floor.clock.now()))
    assert (doubt.code, doubt.blocks, doubt.is_since) == ("v-002", (1,), True)
    assert (doubt.said.said_by, doubt.said.said_at) == ("v-002", floor.clock.now())
    floor.clock.moment += timedelta(hours=1)
    put(floor, 2, "balance-lane", "v-002", "p-01")
    with floor.reading() as db:
        (doubt,) = doubts_of(db, plan_for(db, "s-11", floor.clock.now()))
    assert doubt.blocks == (1, 2)
    tell(floor, "v-002", "can")
    assert (1, "p-01") not in gaps(floor)


def test_a_proposal_fills_the_place_of_who_cannot_come_and_a_repair_takes_them_out(floor: World) -> None:
    """Both are shown before they are stored."""
    put(floor, 1, "target-games", "v-003", "p-02")
    tell(floor, "v-003")
    asked = plan(floor)
    with floor.reading() as db:
        question = question_of(db, asked, floor.clock.now())
    added = best_plan(question).added
    assert any((one.block, one.participant) == (1, "p-02") for one in added)
    mended = repair(question, Missing(), (1, 2))
    assert [one.mentor for one in mended.removed] == ["v-003"]
    assert "v-003" not in {one.mentor for one in mended.added}


def test_where_all_who_are_cleared_cannot_come_the_gap_says_so(floor: World) -> None:
    """As data, and by name."""
    for person in VOLUNTEERS:
        tell(floor, person)
    gap = gaps(floor)[1, "p-02"]
    assert gap.cause == CANNOT_COME
    assert "says that they cannot come: Person v-001, Person v-002, Person v-003 and 2 more." in gap.because


def test_who_cannot_come_is_not_named_as_cover_until_they_are_checked_in(floor: World) -> None:
    """Whoever stands there has come, whatever they said."""
    tell(floor, "v-002")

    def named() -> set[str]:
        found = plan(floor)
        with floor.reading() as db:
            here = at_hand(db, found)
            return {one.mentor for one in covered(found, here, opening_asked(found, 1, "p-01", None, False)).covers}

    assert "v-002" not in named()
    floor.clock.moment = at("09:35")
    with floor.writing() as db:
        check_in(db, floor.clock.now(), COORDINATES, "s-11", "volunteer", "v-002", ZONE)
    assert "v-002" in named()


def test_a_block_that_a_participant_does_not_attend_is_nobodys_gap(floor: World) -> None:
    """It is not asked for, not counted, not proposed for, and nobody can be placed there."""
    assert mark(floor, p_01={2}) == 1
    asked = plan(floor)
    assert len(asked.floor.attended) == 5
    assert board_of(asked, len(gaps(floor))).wanted == 5
    assert (1, "p-01") not in gaps(floor)
    assert (1, "p-01") not in {(one.block, one.participant) for one in best_for(floor).added}
    with pytest.raises(Refused, match=r"Name01 does not attend block 1"):
        put(floor, 1, "balance-lane", "v-002", "p-01")
    with floor.reading() as db:
        here = at_hand(db, asked)
    assert "p-01" not in {one.opening.participant for one in all_covered(asked, here, 1)}


def test_a_participant_who_is_placed_and_will_not_come_waits_for_a_decision_too(floor: World) -> None:
    """Their mentor stays placed with them until somebody takes them out."""
    put(floor, 1, "balance-lane", "v-002", "p-01")
    mark(floor, p_01=set())
    with floor.reading() as db:
        (doubt,) = doubts_of(db, plan_for(db, "s-11", floor.clock.now()))
        assert len(standing_in(db, "s-11")) == 1
    assert (doubt.code, doubt.said.kind, doubt.said.answer) == ("p-01", "participant", "cannot")


def test_what_was_said_later_is_not_known_earlier(floor: World) -> None:
    """The question `known at` holds here as everywhere; and the journal has the answer, not a reason."""
    before = floor.clock.now()
    floor.clock.moment += timedelta(minutes=5)
    tell(floor, "v-002")
    with floor.reading() as db:
        assert not plan_for(db, "s-11", before).floor.unavailable
        assert plan_for(db, "s-11", floor.clock.now()).floor.unavailable == {(1, "v-002"), (2, "v-002")}
        (entry,) = entries(db, kind="availability")
    assert (entry.subject, entry.who) == ("v-002", "c-01")


@pytest.mark.parametrize(
    ("person", "about", "which", "answer", "error"),
    [
        ("v-003", "session", "s-11", "cannot", NotAllowed),
        ("v-002", "session", "s-99", "cannot", NotFound),
        ("v-002", "term", "fall", "cannot", NotFound),
        ("v-002", "day", "2026-10-15", "cannot", Refused),
        ("v-002", "day", "tomorrow", "cannot", Refused),
        ("v-002", "week", "2026-10-18", "cannot", Refused),
        ("v-002", "day", "2026-10-18", "perhaps", Refused),
    ],
)
def test_nobody_speaks_for_another_or_of_what_is_over_or_not_there(
    floor: World, person: str, about: str, which: str, answer: str, error: type[Exception]
) -> None:
    """Nothing of it is stored."""
    with pytest.raises(error):
        tell(floor, person, answer, about, which, HIMSELF)
    with floor.reading() as db:
        assert said(db, floor.clock.now()) == ()


def test_only_volunteers_and_observers_are_asked_when_they_can_come(floor: World) -> None:
    """The coordinator says it for them, and not for somebody without such a part."""
    assert tell(floor, "o-01")
    with pytest.raises(NotFound):
        tell(floor, "c-01")


def test_a_stale_list_of_who_attends_is_refused_as_a_whole(floor: World) -> None:
    """What the other has said about one of them is not overwritten; about others it is no conflict."""
    mark(floor, p_01={2})
    with floor.writing() as db, pytest.raises(Stale):
        attend(db, floor.clock.now(), COORDINATES, "s-11", {"p-01": {1}, "p-02": {1}}, 0)
    with floor.writing() as db:
        assert attend(db, floor.clock.now(), COORDINATES, "s-11", {"p-01": {2}, "p-02": {1}}, 0) == 1
    with floor.reading() as db:
        assert [one.code for one in said(db, floor.clock.now())] == ["p-01", "p-02"]


@settings(max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.sets(st.tuples(st.integers(1, 2), st.sampled_from(VOLUNTEERS))), st.sets(st.integers(1, 2)))
def test_whatever_is_said_nobody_is_proposed_who_cannot_come(
    floor: World, away: set[tuple[int, str]], there: set[int]
) -> None:
    """On the small Saturday, for any blocks that people miss."""
    for person in VOLUNTEERS:
        blocks = sorted({1, 2} - {block for block, who in away if who == person})
        tell(floor, person, f"blocks {';'.join(map(str, blocks))}" if blocks else "cannot")
    mark(floor, p_01=there)
    asked = plan(floor)
    assert {(block, who) for block, who in asked.floor.unavailable} == away
    assert set(open_floor(asked).elsewhere) == away | {(block, "p-01") for block in {1, 2} - there}
    for one in best_for(floor).added:
        assert (one.block, one.mentor) not in away
        assert one.participant != "p-01" or one.block in there


def test_a_plan_that_was_accepted_is_kept_whole_whatever_is_said(floor: World) -> None:
    """Not one placement goes by itself."""
    accepted = accept_best(floor)
    for person in VOLUNTEERS:
        tell(floor, person, "cannot", "day", str(SATURDAY))
    with floor.reading() as db:
        assert len(standing_in(db, "s-11")) == len(accepted)
