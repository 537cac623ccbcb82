"""Mending a stored plan: by the command, all of it or nothing."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner, Result

from mentor_training.errors import Refused
from mentor_training.planning.actions.repairing import accept_repair
from mentor_training.planning.commands.repairing import repair
from mentor_training.planning.queries.asking import question_of
from mentor_training.planning.queries.closed import closed_spells
from mentor_training.planning.queries.plan import plan_for, standing_in
from mentor_training.planning.rules import LEAD, Placed, plan_faults
from mentor_training.planning.solver.repairing import Missing, Repair
from mentor_training.planning.solver.repairing import repair as mend
from tests.builders import World
from tests.planning.saturday import COORDINATES, accept_best, put


def run(world: World, *words: str) -> Result:
    return CliRunner().invoke(repair, ["s-11", *words], obj=world.instance)


def mended(world: World, *people: str) -> Repair:
    """Return how the plan would be mended without some people; nothing is stored."""
    with world.reading() as db:
        now = world.clock.now()
        asked = question_of(db, plan_for(db, "s-11", now), now)
        return mend(asked, Missing(frozenset(people)), asked.floor.blocks)


def placed(world: World) -> set[tuple[int, str, str | None]]:
    with world.reading() as db:
        return {(one.placed.block, one.placed.mentor, one.placed.participant) for one in standing_in(db, "s-11")}


def test_a_repair_is_shown_without_being_stored_and_stored_when_accepted(floor: World) -> None:
    """What stood and need not change is not touched; afterwards no rule is broken."""
    put(floor, 1, "target-games", "v-002", "p-02")
    put(floor, 1, "target-games", "v-006")
    put(floor, 2, "target-games", "v-002", "p-02")
    before = placed(floor)
    shown = json.loads(run(floor, "--absent", "v-002", "--format", "json").output)
    assert {(one["block"], one["mentor"]) for one in shown["removed"]} >= {(1, "v-002"), (2, "v-002")}
    assert (shown["stored"], placed(floor)) == (False, before)
    stored = json.loads(run(floor, "--absent", "v-002", "--accept", "--format", "json").output)
    assert stored["added"] == shown["added"]
    now = placed(floor)
    assert not any(mentor == "v-002" for _, mentor, _ in now)
    assert {participant for _, _, participant in now if participant} >= {"p-02"}
    with floor.reading() as db:
        plan = plan_for(db, "s-11", floor.clock.now())
        assert plan_faults(plan.floor, plan.placed) == ()


def test_the_table_says_who_goes_who_comes_and_how_many_pairs_stay(floor: World) -> None:
    """In words; and that nothing is stored yet."""
    put(floor, 1, "target-games", "v-002", "p-02")
    output = run(floor, "--absent", "v-002", "--from-block", "1").output
    assert "out  1" in output
    assert "nothing is stored" in output
    assert "0 pairs kept" in output


def test_whoever_is_not_expected_cannot_be_missing(floor: World) -> None:
    """Named, with status 2; nothing is mended."""
    answer = run(floor, "--absent", "v-999", "--closed", "the-moon")
    assert answer.exit_code == 2
    assert "not expected at session s-11: v-999; no station the-moon is open in session s-11" in answer.output


def test_a_repair_from_a_block_that_there_is_not_is_wrong_usage(floor: World) -> None:
    """Said with the number, as `cover` says it; it does not look as if nothing had to change."""
    answer = run(floor, "--absent", "v-002", "--from-block", "9")
    assert answer.exit_code == 2
    assert "there is no block 9 in session s-11" in answer.output


def test_a_repair_in_whose_way_something_came_is_not_stored_at_all(floor: World) -> None:
    """Whoever it takes out is gone already, or whom it needs is placed elsewhere meanwhile."""
    accept_best(floor)
    found = mended(floor, "v-002")
    assert found.removed
    with floor.writing() as db:
        accept_repair(db, floor.clock.now(), COORDINATES, "s-11", found.removed, found.added)
    before = placed(floor)
    with pytest.raises(Refused) as no, floor.writing() as db:
        accept_repair(db, floor.clock.now(), COORDINATES, "s-11", found.removed, found.added)
    assert no.value.reasons[0].startswith("Something has changed since")
    assert placed(floor) == before


def test_a_repair_does_not_take_out_the_lead_of_somebody_placed_meanwhile(floor: World) -> None:
    """It only takes out, and adds nobody: who works supervised under that lead since then is still thought of."""
    put(floor, 1, "balance-lane", "v-001")
    put(floor, 1, "balance-lane", "v-003", "p-02")
    gone = Placed(1, "balance-lane", "v-001", LEAD, None, 3)
    with pytest.raises(Refused) as no, floor.writing() as db:
        accept_repair(db, floor.clock.now(), COORDINATES, "s-11", (gone,), ())
    assert any("Person v-003 works supervised there, and no lead is on" in reason for reason in no.value.reasons)
    assert (1, "v-001", None) in placed(floor)


def test_a_station_is_closed_by_the_same_command_that_stores_the_repair(floor: World) -> None:
    """Shown first and not stored; accepted, nobody stands there and it stays closed, with its reason."""
    put(floor, 1, "target-games", "v-002", "p-02")
    put(floor, 2, "target-games", "v-002", "p-02")
    words = ("--closed", "target-games", "--from-block", "2", "--why", "equipment", "--format", "json")
    shown = json.loads(run(floor, *words).output)
    assert (shown["stored"], [one["block"] for one in shown["removed"]]) == (False, [2])
    with floor.reading() as db:
        assert plan_for(db, "s-11", floor.clock.now()).floor.closed == {}
    assert json.loads(run(floor, *words, "--accept").output)["stored"] is True
    with floor.reading() as db:
        plan = plan_for(db, "s-11", floor.clock.now())
        (spell,) = closed_spells(db, plan.session, floor.clock.now())
    assert (spell.station, spell.blocks, spell.reason) == ("target-games", (2,), "equipment")
    assert {one.block for one in plan.placed if one.station == "target-games"} == {1}


@pytest.mark.parametrize(
    ("station", "words"),
    [
        ("target-game", "no station target-game is open in session s-11; the nearest is target-games; open there:"),
        ("nowhere", "no station nowhere is open in session s-11; open there: balance-lane, target-games, arrival-desk"),
    ],
)
def test_a_station_that_is_not_there_is_refused_with_the_nearest_that_is(
    floor: World, station: str, words: str
) -> None:
    """Wrong usage: status 2, and nothing is stored."""
    answer = run(floor, "--closed", station, "--accept")
    assert (answer.exit_code, words in answer.output) == (2, True)
