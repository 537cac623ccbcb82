"""How quiz items do, in a real browser: nothing that an accessibility checker finds, and a picture that is there."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.axe import violations
from tests.browser.entering import sign_in
from tests.browser.serving import served
from tests.builders import make_world
from tests.learning.test_item_reports import tried

PAGES = ("/items", "/items/safety", "/items/safety?attempts=all", "/items/safety?on=2026-10-01")
DRAWN = "() => { const one = document.querySelector('.drawing img'); return one.complete && one.naturalWidth > 0 }"


@pytest.fixture(scope="module")
def term(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Serve a section of which six took the quiz, and give its address."""
    world = make_world(tmp_path_factory.mktemp("items") / "instance")
    world.publish()
    tried(world, *["KIN-372-A"] * 6)
    world.add_person("i-01", "course-instructor", sections="KIN-372-A")
    with served(world) as address:
        yield address
    world.instance.database.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1280])
def test_the_pages_have_no_findings_and_fit(browser: Browser, term: str, width: int, scheme: str) -> None:
    """Axe finds nothing, nothing scrolls sideways, and the site's own policy stops nothing."""
    page = sign_in(browser, term, width, scheme, "i-01")
    stopped: list[str] = []
    page.on("console", lambda said: stopped.append(said.text))
    for address in PAGES:
        page.goto(address)
        assert violations(page) == [], address
        assert page.evaluate("document.documentElement.scrollWidth") <= width, address
    assert stopped == []
    page.context.close()


@pytest.mark.parametrize(("width", "scheme"), [(390, "light"), (390, "dark"), (1280, "light"), (1280, "dark")])
def test_the_picture_is_the_one_for_this_width_and_light(browser: Browser, term: str, width: int, scheme: str) -> None:
    """Drawn for a phone or a desk, by day or by night, with words instead for those who do not see it."""
    page = sign_in(browser, term, width, scheme, "i-01")
    page.goto("/items/safety")
    page.wait_for_function(DRAWN)
    picture = page.get_by_role("img", name="items, from left to right by the share of points reached")
    shown = str(picture.evaluate("one => one.currentSrc"))
    assert ("phone=1" in shown, "night=1" in shown) == (width == 390, scheme == "dark")
    page.context.close()


def test_the_picture_opened_by_itself_keeps_its_colors(browser: Browser, term: str) -> None:
    """The policy of every answer forbids styles within a file, and there are none."""
    page = sign_in(browser, term, 1280, "light", "i-01")
    stopped: list[str] = []
    # A picture has no icon of its own, and the browser may ask for one by a name that is not there.
    icon = "/favicon.ico"
    page.on("console", lambda said: None if said.location["url"].endswith(icon) else stopped.append(said.text))
    page.goto("/items/safety/picture.svg")
    assert page.evaluate("getComputedStyle(document.querySelector('#patch_1 path')).fill") == "rgb(251, 249, 244)"
    assert stopped == []
    page.context.close()


def test_an_instructor_goes_from_hours_to_the_item_that_is_to_be_looked_at_with_the_keyboard(
    browser: Browser, term: str
) -> None:
    """By links alone: how quiz items do, the quiz, the section that the item rests on."""
    page = sign_in(browser, term, 1280, "light", "i-01")
    for name in ("how quiz items do", "Safety", "The section it rests on: Exits"):
        page.get_by_role("link", name=name).first.focus()
        page.keyboard.press("Enter")
        page.wait_for_load_state()
    expect(page).to_have_url(f"{term}/learn/safety/read/exits")
    page.context.close()
