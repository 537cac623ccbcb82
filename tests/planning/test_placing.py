"""Placing volunteers through the gate: what is refused says every reason, and nothing of it is stored."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from mentor_training.calendar.actions import store_session
from mentor_training.clearance.actions import pause
from mentor_training.errors import NotFound, Refused
from mentor_training.evidence.facts import STOOD_DOWN
from mentor_training.journal.queries import entries
from mentor_training.planning.actions.placing import accept, place, remove
from mentor_training.planning.actions.sessions import save_session
from mentor_training.planning.queries.plan import fallen_of, plan_for, standing_in
from mentor_training.planning.rules import plan_faults
from tests.builders import World
from tests.planning.saturday import COORDINATES, accept_best, best_for, put, session


def refused(world: World, *where: object, **more: object) -> tuple[str, ...]:
    """Try to place somebody, and return why not; nothing was stored."""
    with world.reading() as db:
        before = (standing_in(db, "s-11"), len(entries(db, most=10_000)))
    with pytest.raises(Refused) as no:
        put(world, *where, **more)  # type: ignore[arg-type]
    with world.reading() as db:
        assert (standing_in(db, "s-11"), len(entries(db, most=10_000))) == before
    return no.value.reasons


def test_a_cleared_mentor_is_placed_with_their_level_and_journaled(floor: World) -> None:
    """The row holds the level as it stood, the journal who placed whom where, in codes."""
    row = put(floor, 1, "balance-lane", "v-002", "p-01")
    assert (row.level, row.role) == (2, "mentor")
    with floor.reading() as db:
        (entry,) = entries(db, kind="placed")
    assert (entry.who, entry.subject) == ("c-01", "v-002")
    assert entry.record == (
        '{"block":1,"level":2,"participant":"p-01","role":"mentor","session":"s-11","station":"balance-lane"}'
    )


def test_an_assignment_past_the_gate_is_refused_with_every_reason(floor: World) -> None:
    """Who holds nothing of the entry is told all that is missing, and for whom."""
    reasons = refused(floor, 1, "balance-lane", "v-004", "p-01")
    assert reasons[0] == "Person v-004 is not cleared for Balance lane with Name01."
    told = " ".join(reasons)
    for missing in ("Background check", "Safety", "Guarding a balance task"):
        assert missing in told


def test_a_need_that_asks_for_more_than_the_station_holds_the_pair_back(floor: World) -> None:
    """Supervised at the lane, but fall risk asks for the signed skill: level 0 with this participant alone."""
    put(floor, 1, "balance-lane", "v-001")
    assert "is not cleared for Balance lane with Name01" in refused(floor, 1, "balance-lane", "v-003", "p-01")[0]
    assert put(floor, 1, "balance-lane", "v-003", "p-02").level == 1


def test_a_mentor_is_in_one_place_per_block(floor: World) -> None:
    """The second assignment in one block is told where the first one is; another block is free."""
    put(floor, 1, "balance-lane", "v-002", "p-01")
    assert refused(floor, 1, "target-games", "v-002", "p-02") == (
        "Person v-002 is at Balance lane with Name01 in this block already.",
    )
    put(floor, 2, "target-games", "v-002", "p-02")


def test_a_participant_is_at_one_station_per_block(floor: World) -> None:
    """A second mentor joins them where they are, and nowhere else."""
    put(floor, 1, "target-games", "v-006")
    put(floor, 1, "target-games", "v-002", "p-03")
    assert refused(floor, 1, "balance-lane", "v-001", "p-03") == ("Name03 is at Target games in this block already.",)
    put(floor, 1, "target-games", "v-003", "p-03")


def test_nobody_is_placed_in_two_sessions_at_the_same_time(floor: World) -> None:
    """Neither by hand nor by a proposal; in a block that does not meet the other one they may be."""
    with floor.writing() as db:
        store_session(db, floor.clock.now(), COORDINATES, session("s-12", blocks="09:45-09:55;10:20-10:40"))
    put(floor, 1, "target-games", "v-002", "p-02")

    def there(block: int, mentor: str, participant: str) -> None:
        with floor.writing() as db:
            place(db, floor.clock.now(), COORDINATES, "s-12", block, "target-games", mentor, participant)

    with pytest.raises(Refused, match="Person v-002 is placed in session s-11 at this time already"):
        there(1, "v-002", "p-01")
    with pytest.raises(Refused, match="Name02 is placed in session s-11 at this time already"):
        there(1, "v-005", "p-02")
    there(2, "v-002", "p-02")
    added = accept_best(floor, "s-12")
    assert not {"v-002", "p-02"} & {code for one in added if one.block == 1 for code in (one.mentor, one.participant)}
    assert any(one.block == 1 for one in added)


def test_a_session_is_not_moved_to_where_its_people_are_placed_elsewhere(floor: World) -> None:
    """The plan of the one that is moved would put them in two places."""
    with floor.writing() as db:
        store_session(db, floor.clock.now(), COORDINATES, session("s-12", day=date(2026, 10, 20)))
        place(db, floor.clock.now(), COORDINATES, "s-12", 1, "target-games", "v-002", "p-02")
    put(floor, 1, "target-games", "v-002", "p-02")
    with pytest.raises(Refused, match="Person v-002 is placed in session s-11"), floor.writing() as db:
        save_session(db, floor.clock.now(), COORDINATES, session("s-12"))


def test_a_supervised_mentor_works_only_where_a_lead_is_on(floor: World) -> None:
    """First the lead, then up to two supervised for each; the third is refused."""
    assert "no lead is on at Balance lane" in refused(floor, 1, "balance-lane", "v-003", "p-02")[0]
    put(floor, 1, "balance-lane", "v-001")
    put(floor, 1, "balance-lane", "v-003", "p-02")
    put(floor, 1, "balance-lane", "v-005", "p-03")
    (told,) = refused(floor, 1, "balance-lane", "v-006", "p-03")
    assert "2 at Balance lane do already with 1 on as lead; 2 for each lead are the most" in told


def test_a_lead_on_whom_others_depend_is_not_taken_out(floor: World) -> None:
    """The supervised go first; then the lead may go too."""
    lead = put(floor, 1, "balance-lane", "v-001")
    supervised = put(floor, 1, "balance-lane", "v-003", "p-02")
    with floor.writing() as db, pytest.raises(Refused, match="Person v-003 works there supervised"):
        remove(db, floor.clock.now(), COORDINATES, "s-11", lead.id)
    with floor.writing() as db:
        remove(db, floor.clock.now(), COORDINATES, "s-11", supervised.id)
        remove(db, floor.clock.now(), COORDINATES, "s-11", lead.id)
        assert standing_in(db, "s-11") == ()
        assert [entry.subject for entry in entries(db, kind="removed")] == ["v-001", "v-003"]


def test_only_a_lead_leads(floor: World) -> None:
    """Independent is not enough, and the reasons say what leading asks for."""
    reasons = refused(floor, 1, "balance-lane", "v-002")
    assert reasons[0] == "Person v-002 may not lead Balance lane yet."
    assert "10 approved hours of direct (0 so far)" in " ".join(reasons)


def test_a_duty_is_done_without_a_participant(floor: World) -> None:
    """A duty with no capacity takes anybody cleared for it; a place is no duty."""
    assert put(floor, 1, "arrival-desk", "v-003", role="duty").role == "duty"
    assert "is a place, not a duty" in refused(floor, 1, "target-games", "v-005", role="duty")[0]


def test_who_is_kept_apart_is_never_paired(floor: World) -> None:
    """Both the list itself and the gate say so."""
    floor.add_participant("p-09", keep_apart="v-002")
    floor.hold("v-002", "card/p-09@1")
    with floor.writing() as db:
        save_session(db, floor.clock.now(), COORDINATES, replace(session(), participants=("p-01", "p-09")))
    assert "Person v-002 and Name09 are kept apart." in refused(floor, 1, "target-games", "v-002", "p-09")


def test_nobody_is_placed_who_is_not_expected_or_where_nothing_is_open(floor: World) -> None:
    """Wrong block, unknown person, somebody who stays home, a station that is closed."""
    floor.add_person("v-077")
    assert refused(floor, 7, "target-games", "v-002", "p-02") == ("The session has no block 7.",)
    assert refused(floor, 1, "target-games", "v-077", "p-02")[0] == "Person v-077 is not expected at this session."
    assert refused(floor, 1, "target-games", "v-002", "p-77")[0] == "p-77 is not expected at session s-11."
    assert refused(floor, 1, "pool-deck", "v-002", "p-02")[0] == "pool-deck is not open in session s-11."
    with pytest.raises(NotFound):
        put(floor, 1, "target-games", "v-999", "p-02")


def test_a_stand_down_after_placing_shows_as_fallen_and_keeps_others_honest(floor: World) -> None:
    """The placement stays until somebody acts, and the plan says that it no longer holds."""
    put(floor, 1, "balance-lane", "v-002", "p-01")
    floor.clock.forward(minutes=1)
    with floor.writing() as db:
        now = floor.clock.now()
        pause(db, now, COORDINATES, "v-002", STOOD_DOWN, "", date(2026, 10, 16), None, "A doubt to be looked into.")
    floor.clock.forward(minutes=1)
    with floor.reading() as db:
        (fallen,) = fallen_of(plan_for(db, "s-11", floor.clock.now()))
    assert (fallen.standing.placed.mentor, fallen.level) == ("v-002", 0)
    assert "stood down" in fallen.reasons[0]


def test_a_proposal_is_stored_and_breaks_no_rule(floor: World) -> None:
    """Whoever stood stays; a second proposal finds nothing to add."""
    mine = put(floor, 1, "target-games", "v-002", "p-02")
    added = accept_best(floor)
    assert added
    with floor.reading() as db:
        plan = plan_for(db, "s-11", floor.clock.now())
        assert plan_faults(plan.floor, plan.placed) == ()
        assert mine.id in [one.id for one in plan.standing]
    assert accept_best(floor) == ()


def test_a_plan_in_whose_way_something_came_is_not_stored_at_all(floor: World) -> None:
    """Somebody placed meanwhile where the plan needs them: every reason is named, and nothing is stored."""
    proposed = best_for(floor)
    put(floor, 1, "balance-lane", "v-001", "p-01")
    with pytest.raises(Refused) as no, floor.writing() as db:
        accept(db, floor.clock.now(), COORDINATES, "s-11", proposed.added)
    assert no.value.reasons[0].startswith("Something has changed since this plan was proposed")
    with floor.reading() as db:
        assert [one.placed.mentor for one in standing_in(db, "s-11")] == ["v-001"]
