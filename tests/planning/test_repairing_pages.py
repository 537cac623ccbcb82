"""Mending a plan on the day, as the coordinator does on a phone."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from mentor_training.planning.queries.plan import standing_in
from tests.builders import World
from tests.planning.saturday import at, put
from tests.sign_in import Visitor

Sign = Callable[[str], Visitor]
PAGE = "/sessions/s-11/repair"


@pytest.fixture
def coordinator(floor: World, visitor: Sign) -> Visitor:
    """Put a pair on the floor of both blocks, and sign the coordinator in."""
    for block in (1, 2):
        put(floor, block, "target-games", "v-002", "p-02")
    return visitor("c-01")


def placed(world: World) -> set[tuple[int, str, str | None]]:
    with world.reading() as db:
        return {(one.placed.block, one.placed.mentor, one.placed.participant) for one in standing_in(db, "s-11")}


def test_who_is_missing_is_ticked_what_changes_is_shown_and_then_stored(floor: World, coordinator: Visitor) -> None:
    """Nothing is stored before; afterwards somebody else is with them, and whoever is missing nowhere."""
    before = placed(floor)
    shown = coordinator.get(f"{PAGE}?absent=v-002&from_block=1").text
    assert "Out: <strong>Person v-002</strong>, Target games with Name02" in shown
    assert "Nothing is stored yet" in shown
    assert placed(floor) == before
    assert coordinator.fill(shown, PAGE).status_code == 303
    now = placed(floor)
    assert not any(mentor == "v-002" for _, mentor, _ in now)
    assert {(block, participant) for block, _, participant in now} >= {(1, "p-02"), (2, "p-02")}


def test_only_from_a_block_on(floor: World, coordinator: Visitor) -> None:
    """What ran is left as it ran."""
    shown = coordinator.get(f"{PAGE}?absent=v-002&from_block=2").text
    assert "Block 2</h3>" in shown
    assert "Block 1</h3>" not in shown


@pytest.mark.parametrize(("clock", "block"), [("08:45", 1), ("09:55", 1), ("10:03", 2), ("10:10", 2), ("10:30", 1)])
def test_it_begins_with_the_block_that_runs_or_comes_next(
    floor: World, coordinator: Visitor, clock: str, block: int
) -> None:
    """What ran is not offered for mending first; once all blocks are over it is the first again."""
    floor.clock.moment = at(clock)
    assert f'<option value="{block}" selected>' in coordinator.get(PAGE).text


def test_whoever_has_not_come_is_ticked_once_others_have(floor: World, coordinator: Visitor) -> None:
    """Before anybody has come nobody is."""
    assert "checked" not in coordinator.get(PAGE).text
    floor.clock.moment = at("09:35")
    coordinator.send("/sessions/s-11/check-in", "/sessions/s-11/check-in/volunteer/v-001")
    page = coordinator.get(PAGE).text
    assert 'value="v-002" checked' in page


def test_with_nobody_missing_nothing_changes(floor: World, coordinator: Visitor) -> None:
    """And there is nothing to store."""
    page = coordinator.get(f"{PAGE}?from_block=1").text
    assert "Nothing has to change" in page
    assert "Store this change" not in page


def test_what_something_came_in_the_way_of_is_not_stored(floor: World, coordinator: Visitor) -> None:
    """It says so, and how to go on."""
    shown, other = (coordinator.get(f"{PAGE}?absent=v-002&from_block=1").text for _ in range(2))
    assert coordinator.fill(shown, PAGE).status_code == 303
    stale = coordinator.fill(other, PAGE)
    assert stale.status_code == 422
    assert "Something has changed since" in stale.text


@pytest.mark.parametrize("text", ["", "nonsense", '[{"block": "1"}]'])
def test_a_change_that_no_page_wrote_is_bad_input(floor: World, coordinator: Visitor, text: str) -> None:
    """And never an error of the program."""
    shown = coordinator.get(f"{PAGE}?absent=v-002&from_block=1").text
    assert coordinator.fill(shown, PAGE, removed=text).status_code == 400


def test_an_observer_mends_nothing(visitor: Sign, coordinator: Visitor) -> None:
    """The page is the coordinator's."""
    assert visitor("o-01").get(PAGE).status_code == 403


def test_before_anybody_is_placed_it_says_so(floor: World, visitor: Sign) -> None:
    """There is nobody to tick, and stations can be closed all the same."""
    shown = visitor("c-01").get(PAGE).text
    assert shown.count("Nobody is placed yet.") == 2
    assert 'name="closed"' in shown
