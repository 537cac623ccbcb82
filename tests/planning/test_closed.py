"""A station that is closed during a session is remembered: nobody is placed there until it is opened again."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.errors import Refused
from mentor_training.journal.queries import entries
from mentor_training.planning.actions.changing import move, undo
from mentor_training.planning.actions.closing import close
from mentor_training.planning.actions.closing_stations import close_station, open_station
from mentor_training.planning.actions.placing import remove
from mentor_training.planning.actions.shadowing import shadow
from mentor_training.planning.closed import CLOSED, OPENED, Spell, Turned, blocks_closed, closed_in, spells
from mentor_training.planning.gaps import STATION_CLOSED
from mentor_training.planning.queries.changes import last_change
from mentor_training.planning.queries.plan import Plan, closing_of, gaps_of, plan_for
from tests.builders import NOON, World
from tests.planning.saturday import COORDINATES, ZONE, accept_best, at, best_for, put
from tests.sign_in import Visitor

Sign = Callable[[str], Visitor]
turns = st.lists(st.tuples(st.booleans(), st.integers(1, 4)), max_size=6)


def shut(world: World, station: str = "target-games", from_block: int = 1, reason: str = "place") -> None:
    with world.writing() as db:
        close_station(db, world.clock.now(), COORDINATES, "s-11", station, from_block, reason)


def reopen(world: World, from_block: int, station: str = "target-games") -> None:
    with world.writing() as db:
        open_station(db, world.clock.now(), COORDINATES, "s-11", station, from_block)


def plan_of(world: World) -> Plan:
    with world.reading() as db:
        plan = plan_for(db, "s-11", world.clock.now())
        assert plan.placed is not None
        return plan


@given(turns)
def test_the_last_word_about_a_block_decides(said: list[tuple[bool, int]]) -> None:
    """Held to a plain walk through the records, block by block."""
    turned = [
        Turned(number, "lane", CLOSED if closes else OPENED, block, "place", NOON, "c-01")
        for number, (closes, block) in enumerate(said)
    ]
    found = closed_in(turned, (1, 2, 3, 4))
    for block in (1, 2, 3, 4):
        words = [closes for closes, first in said if first <= block]
        assert ((block, "lane") in found) == (bool(words) and words[-1])
    assert blocks_closed(found, "lane") == tuple(block for block, _ in sorted(found))


@given(st.dictionaries(st.tuples(st.integers(1, 4), st.sampled_from("ab")), st.sampled_from(["place", "weather"])))
def test_the_spells_say_each_block_once_with_its_reason(reasons: dict[tuple[int, str], str]) -> None:
    """Of one reason and one after the other, and none shorter than it could be."""
    found = spells(reasons, (1, 2, 3, 4))
    assert {(block, one.station): one.reason for one in found for block in one.blocks} == reasons
    assert sum(len(one.blocks) for one in found) == len(reasons)
    for one in found:
        assert list(one.blocks) == list(range(one.blocks[0], one.blocks[-1] + 1))
        assert reasons.get((one.blocks[-1] + 1, one.station)) != one.reason


@pytest.mark.parametrize(
    ("blocks", "words"),
    [((1, 2, 3), "from block 1"), ((3,), "from block 3"), ((2,), "in block 2"), ((1, 2), "in blocks 1 to 2")],
)
def test_a_spell_says_from_when_or_in_which_blocks(blocks: tuple[int, ...], words: str) -> None:
    """With its reason in words."""
    assert Spell("lane", blocks, "place").in_words((1, 2, 3)) == f"closed {words}: the place cannot be used"


def test_nobody_is_placed_at_a_closed_station_by_any_hand(floor: World) -> None:
    """Placed, moved there, or to shadow there: each is refused and says since when, by whom and why."""
    one = put(floor, 2, "balance-lane", "v-002", "p-01")
    shut(floor, from_block=2)
    words = "Target games is closed in block 2: since block 2, 10:05, by Person c-01; the place cannot be used"
    with pytest.raises(Refused, match=words):
        put(floor, 2, "target-games", "v-003", "p-02")
    with pytest.raises(Refused, match=words), floor.writing() as db:
        move(db, floor.clock.now(), COORDINATES, "s-11", one.id, "target-games", "p-01", "mentor")
    with pytest.raises(Refused, match=words), floor.writing() as db:
        shadow(db, floor.clock.now(), COORDINATES, "s-11", 2, "target-games", "v-005")
    put(floor, 1, "target-games", "v-003", "p-02")


def test_no_proposal_places_there_and_the_gap_says_why(floor: World) -> None:
    """p-02 could be at target games alone; opened again it is proposed as before."""
    shut(floor)
    assert "target-games" not in {one.station for one in best_for(floor).added}
    because = " ".join(gap.because for gap in gaps_of(plan_of(floor)))
    assert "Target games is closed in block 1: since block 1, 09:50, by Person c-01" in because
    reopen(floor, 2)
    assert {one.block for one in best_for(floor).added if one.station == "target-games"} == {2}


def test_whoever_stands_there_counts_for_nobody_and_stays_in_the_plan(floor: World) -> None:
    """Closing is never in anybody's way; the participant is not covered, for that reason."""
    put(floor, 1, "target-games", "v-003", "p-02")
    shut(floor)
    plan = plan_of(floor)
    assert [one.level for one in plan.placed] == [0]
    gap = next(gap for gap in gaps_of(plan) if (gap.block, gap.participant) == (1, "p-02"))
    assert gap.cause == STATION_CLOSED
    assert plan.fallen[0].reasons[0].startswith("Target games is closed in block 1")
    reopen(floor, 1)
    assert plan_of(floor).fallen == ()


def test_each_closing_and_opening_is_a_record_in_the_journal_once(floor: World) -> None:
    """Closed twice is once; what is not closed cannot be opened; codes and figures alone are written."""
    shut(floor)
    shut(floor, from_block=2)
    reopen(floor, 2)
    with pytest.raises(Refused, match="is not closed from block 2 on"):
        reopen(floor, 2)
    with floor.reading() as db:
        kinds = [(one.kind, json.loads(one.record)) for one in entries(db) if one.kind.startswith("station-")]
    told = {"session": "s-11", "from_block": 1, "reason": "place"}
    assert sorted(kinds, key=str) == [
        ("station-closed", told),
        ("station-opened", told | {"from_block": 2, "reason": ""}),
    ]


@pytest.mark.parametrize(
    ("station", "block", "reason", "words"),
    [
        ("pool", 1, "place", "is not open in session s-11"),
        ("target-games", 9, "place", "has no block 9"),
        ("target-games", 1, "because", "Choose why"),
    ],
)
def test_what_cannot_be_closed_is_refused(floor: World, station: str, block: int, reason: str, words: str) -> None:
    """No such station or block, or a reason that is no choice."""
    with pytest.raises(Refused, match=words):
        shut(floor, station, block, reason)


def test_the_frozen_floor_says_where_it_was_closed(floor: World, visitor: Sign) -> None:
    """And that whoever stood there worked with nobody."""
    accept_best(floor)
    shut(floor, "balance-lane", 2, "weather")
    floor.clock.moment = at("11:20")
    with floor.writing() as db:
        close(db, floor.clock.now(), COORDINATES, "s-11", ZONE)
        row = closing_of(db, "s-11")
        assert row is not None
        frozen = row.floor
    closed = {"block": 2, "station": "balance-lane", "from_block": 2, "by": "c-01", "reason": "weather"}
    assert frozen["closed"] == [closed]
    there = [one for one in frozen["placements"] if (one["block"], one["station"]) == (2, "balance-lane")]
    assert all(one["level"] == 0 for one in there)
    assert "by Person c-01; weather" in visitor("c-01").get("/sessions/s-11").text


def test_it_is_closed_in_the_same_step_as_the_repair_and_opened_by_one_press(floor: World, visitor: Sign) -> None:
    """Paper, wall and the volunteer's page say so meanwhile."""
    for block in (1, 2):
        put(floor, block, "target-games", "v-002", "p-02")
    page, coordinator = "/sessions/s-11/repair", visitor("c-01")
    shown = coordinator.get(f"{page}?closed=target-games&from_block=2&why=equipment").text
    assert "Closed from block 2 on" in shown
    assert coordinator.fill(shown, page).status_code == 303
    plan = plan_of(floor)
    assert set(plan.floor.closed) == {(2, "target-games")}
    assert {one.block for one in plan.placed if one.station == "target-games"} == {1}
    closed = coordinator.get("/sessions/s-11/closed").text
    assert "the equipment is broken" in closed
    sheet = coordinator.get("/sessions/s-11/stations/target-games").text
    assert "This station is closed in block 2." in sheet
    for path in ("print", "blocks/2", "now", "briefing", "wall", "blocks/2/cover", "blocks/2/place?participant=p-02"):
        assert coordinator.get(f"/sessions/s-11/{path}").status_code == 200
    floor.clock.moment = at("10:06")
    for path in ("now", "wall"):
        assert "Closed" in coordinator.get(f"/sessions/s-11/{path}").text
    opened = coordinator.send("/sessions/s-11/closed", "/sessions/s-11/closed/target-games/open", from_block="2")
    assert opened.status_code == 303
    assert plan_of(floor).floor.closed == {}


def test_it_is_closed_by_itself_on_its_page(floor: World, visitor: Sign) -> None:
    """The page then says who still stands there and leads to the repair, which empties it."""
    put(floor, 1, "target-games", "v-003", "p-02")
    coordinator, page = visitor("c-01"), "/sessions/s-11/closed"
    sent = coordinator.send(page, page, station="target-games", from_block="1", why="place")
    assert sent.status_code == 303
    shown = coordinator.get(page).text
    assert "1 placement still stands there and counts for nobody" in shown
    mended = coordinator.get("/sessions/s-11/repair?from_block=1").text
    assert coordinator.fill(mended, "/sessions/s-11/repair").status_code == 303
    assert not any(one.station == "target-games" for one in plan_of(floor).placed)
    assert coordinator.send(page, page, station="", from_block="1", why="place").status_code == 422


def test_a_volunteer_is_not_sent_to_a_closed_station(floor: World, visitor: Sign) -> None:
    """The own page says that it is closed."""
    floor.clock.moment = at("09:00")
    put(floor, 1, "target-games", "v-003", "p-02")
    shut(floor)
    assert "Target games is closed: since block 1" in visitor("v-003").get("/pairing").text


def test_briefing_sheet_and_wall_say_from_when_it_is_closed_and_why(floor: World, visitor: Sign) -> None:
    """Without who closed it on the wall, which visitors read; a floor that ran prints it as well."""
    shut(floor, from_block=2)
    coordinator, words = visitor("c-01"), "closed from block 2: the place cannot be used"
    for path in ("briefing", "print", "wall"):
        shown = " ".join(coordinator.get(f"/sessions/s-11/{path}").text.split())
        assert "Target games</strong>" in shown
        assert words in shown
    assert "Person c-01" not in coordinator.get("/sessions/s-11/wall").text.partition("<main")[2]
    floor.clock.moment = at("11:20")
    with floor.writing() as db:
        close(db, floor.clock.now(), COORDINATES, "s-11", ZONE)
    assert f"{words}. Nobody worked there then." in coordinator.get("/sessions/s-11/print").text


def test_the_repair_page_lists_what_is_closed_already_and_does_not_offer_it_again(floor: World, visitor: Sign) -> None:
    """And what would be closed is said in the reason that was chosen."""
    put(floor, 1, "target-games", "v-003", "p-02")
    shut(floor)
    page = "/sessions/s-11/repair"
    shown = " ".join(visitor("c-01").get(page).text.split())
    assert "Closed already, and counted so: <strong>Target games</strong>, closed from block 1: the place" in shown
    assert 'id="closed-target-games"' not in shown
    assert 'id="closed-balance-lane"' in shown
    also = " ".join(visitor("c-01").get(f"{page}?closed=balance-lane&from_block=1&why=weather").text.split())
    assert "1 placement goes and 0 come; 0 pairs stay as they are, 1 does not." in also
    assert "Balance lane is closed in block 1: weather, in the change that is shown" in also


def test_what_was_done_at_a_station_that_is_closed_since_is_not_undone(floor: World) -> None:
    """Undoing a taking-out would place somebody there: refused, with since when and why."""
    one = put(floor, 2, "target-games", "v-002", "p-02")
    floor.clock.forward(minutes=1)
    with floor.writing() as db:
        remove(db, floor.clock.now(), COORDINATES, "s-11", one.id)
    shut(floor, from_block=2)
    floor.clock.forward(minutes=1)
    with floor.reading() as db:
        last = last_change(db, "s-11")
    assert last is not None
    with pytest.raises(Refused, match="Target games is closed in block 2: since block 2"), floor.writing() as db:
        undo(db, floor.clock.now(), COORDINATES, "s-11", last.number)
    assert plan_of(floor).placed == ()
