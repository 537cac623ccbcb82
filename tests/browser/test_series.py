"""A series of sessions and one's own calendar on a phone and at a desk, by day and by night."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Literal

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.axe import violations
from tests.browser.entering import fill_sign_in
from tests.browser.serving import served
from tests.builders import World, make_world
from tests.planning.saturday import saturday

LOOKS: tuple[tuple[int, Literal["light", "dark"]], ...] = ((390, "dark"), (1280, "light"))


@pytest.fixture
def floor(tmp_path: Path) -> Iterator[World]:
    """Give an instance with the small Saturday in it."""
    world = make_world(tmp_path / "instance")
    world.publish()
    yield saturday(world)
    world.instance.database.close()


@pytest.fixture(params=LOOKS, ids=lambda look: f"{look[0]}-{look[1]}")
def page(request: pytest.FixtureRequest, browser: Browser, floor: World) -> Iterator[Page]:
    """Give the coordinator's browser, on the served instance."""
    width, scheme = request.param
    with served(floor) as address:
        context = browser.new_context(
            viewport={"width": width, "height": 844}, color_scheme=scheme, base_url=address
        )  # fmt: skip
        opened = context.new_page()
        fill_sign_in(opened, "c-01")
        yield opened
        context.close()


def is_sound(page: Page) -> bool:
    """Tell whether a page has no accessibility finding and is no wider than the screen."""
    assert violations(page) == []
    return bool(page.evaluate("document.documentElement.scrollWidth <= innerWidth"))


def test_a_term_is_filled_in_shown_and_stored(page: Page) -> None:
    """A holiday that is no day is told beside its field; put right, eight Saturdays are shown and then stored."""
    page.goto("/sessions/series")
    page.get_by_label("First day").fill("2026-10-19")
    page.get_by_label("Last day").fill("2026-12-19")
    page.get_by_label("Days left out").fill("2026-11-31")
    page.get_by_role("button", name="Show the sessions").click()
    expect(page.locator("#error-summary")).to_contain_text("Line 1: '2026-11-31' is no day")
    assert is_sound(page)
    page.get_by_label("Days left out").fill("2026-11-28")
    page.get_by_role("button", name="Show the sessions").click()
    expect(page.get_by_role("row")).to_have_count(9)
    assert is_sound(page)
    page.get_by_role("button", name="Store these 8 sessions").click()
    expect(page.get_by_text("8 sessions stored, s-12 to s-19.")).to_be_visible()


def test_a_private_address_is_made_and_ended(page: Page) -> None:
    """It is shown whole, on a phone too."""
    page.goto("/sessions/calendar")
    page.get_by_role("button", name="Make a private address").click()
    expect(page.locator("main code")).to_contain_text("/calendar/")
    assert is_sound(page)
    page.get_by_role("button", name="End the address").click()
    expect(page.get_by_text("The address is ended")).to_be_visible()
    assert is_sound(page)
