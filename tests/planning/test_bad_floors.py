"""Floors on which there is nothing to plan, and searches that had no time: a plan with reasons and honest labels."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Any

import click
import pytest
from click.testing import CliRunner

from mentor_training.errors import Refused
from mentor_training.planning.actions.placing import accept
from mentor_training.planning.actions.sessions import save_session
from mentor_training.planning.commands import planning, repairing
from mentor_training.planning.pages import repairing as repairing_pages
from mentor_training.planning.queries.plan import standing_in
from mentor_training.planning.rules import MENTOR, Placed
from mentor_training.planning.solver.repairing import repair
from mentor_training.planning.solver.search import best_plan
from tests.builders import World
from tests.planning.saturday import COORDINATES, put, session
from tests.sign_in import Visitor
from tests.small_program import small_files


def told(world: World, command: click.Command, *words: str) -> Any:
    answer = CliRunner().invoke(command, ["s-11", *words, "--format", "json"], obj=world.instance)
    assert answer.exit_code == 0, answer.output
    return json.loads(answer.stdout)


def causes(plan: Any) -> set[str]:
    """Return the reasons of all gaps; each is also said in words."""
    assert all(gap["because"][0]["words"] for gap in plan["uncovered"])
    return {gap["because"][0]["cause"] for gap in plan["uncovered"]}


def test_with_nobody_available_every_block_is_uncovered_and_says_so(floor: World) -> None:
    """No error: an empty plan, proven, since no plan covers anybody."""
    with floor.writing() as db:
        save_session(db, floor.clock.now(), COORDINATES, replace(session(), volunteers=()))
    plan = told(floor, planning.plan, "--propose")
    assert (plan["placements"], len(plan["uncovered"]), causes(plan)) == ([], 6, {"nobody_cleared"})
    assert (plan["aims"][0]["value"], plan["aims"][0]["bound"], plan["aims"][0]["proven"]) == (0, 0, True)


def test_with_no_room_anywhere_every_block_says_that_it_is_full(floor: World) -> None:
    """Zero capacity in a later edition; the plan is empty and proven."""
    files = small_files()
    stations = (
        files["program/stations.toml"].replace("capacity = 4", "capacity = 0").replace("capacity = 6", "capacity = 0")
    )
    floor.publish({**files, "program/stations.toml": stations}, number=2)
    plan = told(floor, planning.plan, "--propose")
    assert (plan["placements"], causes(plan)) == ([], {"no_room_or_lead"})
    assert "Balance lane is full" in plan["uncovered"][0]["because"][0]["words"]
    assert plan["aims"][0]["proven"]


def test_a_participant_whose_needs_nobody_meets_is_left_out_with_who_comes_nearest(floor: World) -> None:
    """The others are covered; for p-04 no card was read, which is what the nearest lack."""
    floor.add_participant("p-04")
    with floor.writing() as db:
        save_session(db, floor.clock.now(), COORDINATES, replace(session(), participants=("p-02", "p-04")))
    plan = told(floor, planning.plan, "--propose")
    assert {gap["participant"] for gap in plan["uncovered"]} == {"p-04"}
    assert causes(plan) == {"nobody_cleared"}
    assert plan["uncovered"][0]["nearest"][0]["lacks"]
    assert (plan["aims"][0]["value"], plan["aims"][0]["proven"]) == (2, True)


def test_a_plan_with_a_pair_that_breaks_a_rule_is_refused_with_the_rule(floor: World) -> None:
    """Whoever wrote it: v-004 is cleared for nothing, and all of it is refused."""
    wrong = Placed(1, "target-games", "v-004", MENTOR, "p-02", 2)
    fine = Placed(1, "target-games", "v-002", MENTOR, "p-02", 2)
    with pytest.raises(Refused) as no, floor.writing() as db:
        accept(db, floor.clock.now(), COORDINATES, "s-11", (fine, wrong))
    assert any("Person v-004 is not cleared for Target games with Name02" in reason for reason in no.value.reasons)
    with floor.reading() as db:
        assert standing_in(db, "s-11") == ()


def test_a_search_that_had_no_time_says_so_in_json_and_in_the_table(
    floor: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The best so far is what stands; no aim is called proven, and the bound says what there might be."""
    monkeypatch.setattr(planning, "best_plan", partial(best_plan, stopped=lambda: True))
    plan = told(floor, planning.plan, "--propose")
    first = plan["aims"][0]
    assert (plan["placements"], first["value"], first["proven"]) == ([], 0, False)
    assert first["bound"] > 0
    assert not any(aim["proven"] for aim in plan["aims"])
    table = CliRunner().invoke(planning.plan, ["s-11", "--propose"], obj=floor.instance).output
    assert table.count("not proven") == 5


def test_a_repair_that_had_no_time_is_safe_and_says_that_it_is_not_proven(
    floor: World, visitor: Callable[[str], Visitor], monkeypatch: pytest.MonkeyPatch
) -> None:
    """On the command line, in JSON and on the page: who can stay does, and no block is called the best."""
    for block in (1, 2):
        put(floor, block, "target-games", "v-002", "p-02")
        put(floor, block, "balance-lane", "v-001", "p-01")
    hurried = partial(repair, seconds=0)
    monkeypatch.setattr("mentor_training.planning.commands.repairing.repairing.repair", hurried)
    mended = told(floor, repairing.repair, "--absent", "v-002")
    assert (len(mended["removed"]), mended["added"], mended["proven_blocks"]) == (2, [], [])
    assert (mended["kept_pairs"], mended["lost_pairs"]) == (2, 2)
    monkeypatch.setattr(repairing_pages, "repair", hurried)
    page = visitor("c-01").get("/sessions/s-11/repair?absent=v-002&from_block=1").text
    assert "It is not proven for every block that no plan is better." in page
