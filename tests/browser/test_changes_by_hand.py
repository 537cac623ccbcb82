"""Every change of the floor by the keyboard alone, on a phone's width and a desk's; each refused with its rule."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from mentor_training.planning.queries.plan import standing_in
from tests.browser.axe import violations
from tests.browser.entering import sign_in
from tests.browser.keyboard import Keyboard
from tests.browser.serving import served
from tests.builders import World, make_world
from tests.planning.saturday import saturday

BLOCK = "/sessions/s-11/blocks/1"


@pytest.fixture(params=[390, 1280])
def page(request: pytest.FixtureRequest, browser: Browser, tmp_path: Path) -> Iterator[tuple[Page, World]]:
    """Give the coordinator's page of the small Saturday, with nobody placed, and its world."""
    world = make_world(tmp_path / "instance")
    world.publish()
    saturday(world)
    with served(world) as address:
        opened = sign_in(browser, address, request.param)
        opened.emulate_media(reduced_motion="reduce")
        yield opened, world
        opened.context.close()
    world.instance.database.close()


def placed(world: World) -> set[tuple[str, str, str | None]]:
    with world.reading() as db:
        rows = [one.placed for one in standing_in(db, "s-11")]
    return {(one.station, one.mentor, one.participant) for one in rows}


def press(page: Page, name: str) -> None:
    """Go to a control by Tab and press it; another page comes."""
    keys = Keyboard(page)
    keys.go_to(name)
    with page.expect_navigation():
        keys.press("Enter")


def choose(page: Page, select: str, words: str) -> None:
    """Go to a select by Tab and choose by the arrows what has the words in it."""
    keys = Keyboard(page)
    keys.go_to(select)
    for _ in range(40):
        if words in page.evaluate("document.activeElement.selectedOptions[0].textContent"):
            return
        keys.press("ArrowDown")
    raise AssertionError(f"{words!r} is not among the choices")


def pick(page: Page, select: str, words: str, button: str) -> None:
    """Choose in a select, and press the button."""
    choose(page, select, words)
    assert violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    press(page, button)


def at_block(page: Page, world: World, name: str) -> None:
    """Open the block anew, a minute later, and press something there."""
    world.clock.forward(minutes=1)
    page.goto(BLOCK)
    press(page, name)


def test_each_change_of_the_floor_is_made_by_the_keyboard_alone(page: tuple[Page, World]) -> None:
    """Lead, place, duty, move, swap, take out, undo, shadow, mark missing, close a station."""
    shown, world = page
    at_block(shown, world, "Place a lead")
    pick(shown, "Volunteer", "Person v-001, Lead, Balance lane", "Place")
    at_block(shown, world, "Place a mentor with Name01")
    pick(shown, "Volunteer", "Person v-002, Independent, Balance lane", "Place")
    at_block(shown, world, "Place a mentor with Name02")
    pick(shown, "Volunteer", "Person v-003, Supervised, Balance lane", "Place")
    at_block(shown, world, "Place somebody on a duty")
    pick(shown, "Volunteer", "Person v-005, Independent, Arrival desk", "Place")
    assert placed(world) == {
        ("balance-lane", "v-001", None), ("balance-lane", "v-002", "p-01"), ("balance-lane", "v-003", "p-02"),
        ("arrival-desk", "v-005", None),
    }  # fmt: skip
    a_move_and_a_swap(shown, world)
    taken_out_and_brought_back(shown, world)
    a_shadow(shown, world)
    missing_and_closed(shown, world)


def a_move_and_a_swap(shown: Page, world: World) -> None:
    """Refused first: a supervised mentor does not take the lead's place."""
    at_block(shown, world, "Change Person v-003")
    pick(shown, "Change", "Person v-001: lead of Balance lane", "Make this change")
    expect(shown.get_by_text("Person v-003 may not lead Balance lane yet.")).to_be_visible()
    pick(shown, "Change", "Person v-005: on duty, Arrival desk", "Make this change")
    expect(shown.get_by_text("Swapped.")).to_be_visible()
    assert {("balance-lane", "v-005", "p-02"), ("arrival-desk", "v-003", None)} <= placed(world)
    at_block(shown, world, "Change Person v-003")
    pick(shown, "Change", "with Name02 at Balance lane", "Make this change")
    expect(shown.get_by_text("Moved.")).to_be_visible()
    assert ("balance-lane", "v-003", "p-02") in placed(world)


def a_shadow(shown: Page, world: World) -> None:
    """Refused for who is not allowed on the floor; another one watches."""
    at_block(shown, world, "Let somebody shadow")
    choose(shown, "Volunteer", "Person v-004")
    pick(shown, "Station", "Balance lane", "Let them shadow")
    expect(shown.get_by_text("Person v-004 may not be on the floor at Balance lane")).to_be_visible()
    choose(shown, "Volunteer", "Person v-006")
    pick(shown, "Station", "Balance lane", "Let them shadow")
    expect(shown.get_by_text("Noted: they watch and touch nobody.")).to_be_visible()
    press(shown, "Ends shadowing: Person v-006")


def taken_out_and_brought_back(shown: Page, world: World) -> None:
    """A lead on whom somebody depends is refused; somebody else goes and is brought back."""
    at_block(shown, world, "Take out : Person v-001")
    expect(shown.get_by_text("Person v-001 leads Balance lane while")).to_be_visible()
    before = placed(world)
    at_block(shown, world, "Take out : Person v-003")
    assert placed(world) == before - {("balance-lane", "v-003", "p-02")}
    at_block(shown, world, "undo the last change")
    assert violations(shown) == []
    press(shown, "Undo it")
    expect(shown.get_by_text("The last change is undone.")).to_be_visible()
    assert placed(world) == before


def missing_and_closed(shown: Page, world: World) -> None:
    """Both by ticking; shown before anything is stored."""
    at_block(shown, world, "somebody is missing or a station is closed")
    keys = Keyboard(shown)
    keys.go_to("Person v-002")
    keys.press("Space")
    keys.go_to("Balance lane")
    keys.press("Space")
    press(shown, "Show what would change")
    assert ("balance-lane", "v-002", "p-01") in placed(world)
    press(shown, "Store this change")
    expect(shown.get_by_text("The plan is mended")).to_be_visible()
    left = placed(world)
    assert not [one for one in left if one[1] == "v-002" or one[0] == "balance-lane"]
