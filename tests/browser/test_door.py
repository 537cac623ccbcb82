"""The list at the door on a phone: name tags one after the other before the camera, names with one thumb."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserType, Page, expect

from mentor_training.observing.pdf import observe_address
from mentor_training.planning.queries.coming import came_to
from tests.browser.axe import violations
from tests.browser.camera import browser_with, camera_showing, picture_of
from tests.browser.entering import sign_in
from tests.browser.keyboard import Keyboard
from tests.browser.serving import served
from tests.browser.test_covering import SMALL
from tests.builders import World, make_world
from tests.planning.saturday import at, saturday

DOOR = "/sessions/s-11/check-in"
HoldUp = Callable[[str], AbstractContextManager[Page]]
LIVE_TRACKS = "document.getElementById('scanner-picture').srcObject?.getTracks().length ?? 0"


@pytest.fixture
def world(tmp_path: Path) -> Iterator[World]:
    """Give the Saturday at twenty to ten, with nobody there yet."""
    made = make_world(tmp_path / "instance")
    made.publish()
    saturday(made)
    made.add_person("v-031", name="Hadrian Lisle")
    made.clock.moment = at("09:40")
    yield made
    made.instance.database.close()


def came(world: World) -> list[str]:
    with world.reading() as db:
        return sorted(code for _, code in came_to(db, "s-11"))


@pytest.fixture
def holding_up(
    browser_type: BrowserType, browser_type_launch_args: dict[str, Any], world: World, tmp_path: Path
) -> HoldUp:
    """Give what opens the list at the door on a phone whose camera sees somebody's name tag."""

    @contextmanager
    def hold_up(code: str) -> Iterator[Page]:
        tag = picture_of(observe_address(world.instance.settings.address, code), tmp_path)
        with (
            browser_with(browser_type, browser_type_launch_args, *camera_showing(tag)) as browser,
            served(world) as address,
        ):
            page = sign_in(browser, address, 390)
            page.goto(DOOR)
            page.get_by_role("button", name="Scan a name tag").click()
            yield page

    return hold_up


def test_a_name_tag_is_scanned_once_and_the_camera_waits_for_the_next(holding_up: HoldUp, world: World) -> None:
    """The same tag held on is not sent again; closed, the camera is off."""
    with holding_up("v-003") as page:
        dialog = page.get_by_role("dialog", name="Scan a name tag")
        expect(dialog.get_by_role("status")).to_have_text(
            "Person v-003 is checked in. Now the next tag.", timeout=15_000
        )
        assert violations(page) == []
        assert came(world) == ["v-003"]
        page.get_by_role("button", name="Close").click()
        assert page.evaluate(LIVE_TRACKS) == 0
        expect(page.get_by_text("Person v-003 is here.")).to_be_visible()
        page.context.close()


def test_the_tag_of_somebody_who_is_not_expected_leads_to_what_can_be_done(holding_up: HoldUp, world: World) -> None:
    """The coordinator puts them on the list and checks them in by one button."""
    with holding_up("v-031") as page:
        expect(page.get_by_role("heading", level=1)).to_have_text("Not expected: Hadrian Lisle", timeout=15_000)
        assert violations(page) == []
        page.get_by_role("button", name="Put on the list and check in").click()
        expect(page.get_by_text("Expected from now on. Hadrian Lisle is here.")).to_be_visible()
        assert came(world) == ["v-031"]
        page.context.close()


def test_without_a_camera_the_list_and_the_code_on_the_tag_do(browser: Browser, world: World) -> None:
    """By the keyboard alone."""
    with served(world) as address:
        page = sign_in(browser, address, 1280)
        page.goto(DOOR)
        page.emulate_media(reduced_motion="reduce")
        keys = Keyboard(page)
        keys.go_to("Scan a name tag")
        keys.press("Enter")
        expect(page.locator("#scanner-says")).to_contain_text("This device has no camera that a page can use.")
        keys.press("Escape")
        page.goto(DOOR)
        keys.go_to("Name tag")
        keys.type("v-002")
        keys.press("Enter")
        expect(page.get_by_text("Person v-002 is here.")).to_be_visible()
        page.goto(DOOR)
        keys.go_to("Here : Name01")
        keys.press("Enter")
        expect(page.get_by_text("Name01 is here.")).to_be_visible()
        assert came(world) == ["p-01", "v-002"]
        page.context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1280])
def test_the_list_fits_has_no_findings_and_can_be_pressed(
    browser: Browser, world: World, width: int, scheme: str
) -> None:
    """Before the first block and after it has begun."""
    with served(world) as address:
        page = sign_in(browser, address, width, scheme)
        for clock in ("09:40", "10:07"):
            world.clock.moment = at(clock)
            page.goto(DOOR)
            look(page, width)
        page.goto(f"{DOOR}/unexpected/v-031")
        look(page, width)
        page.context.close()


def look(page: Page, width: int) -> None:
    assert violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.evaluate(SMALL) == []
