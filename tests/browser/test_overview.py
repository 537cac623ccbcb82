"""My path, today and the journal in a real browser: nothing that an accessibility checker finds, nothing too wide."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.axe import violations
from tests.browser.entering import sign_in
from tests.browser.serving import served
from tests.builders import World, make_world
from tests.planning.saturday import at, put, saturday

# WCAG 2.2, 2.5.8 (level AA): 24 by 24 CSS pixels; links within a sentence are exempt.
SMALL = """() => [...document.querySelectorAll('main a, main button, main summary, main input, main select')]
  .filter(one => one.offsetParent && one.getBoundingClientRect().height < 24 && one.parentElement.children.length === 1
    && one.parentElement.textContent.trim() === one.textContent.trim()).map(one => one.outerHTML.slice(0, 80))"""

PAGES = {
    "c-01": ("/today", "/journal", "/journal?kind=record&subject=v-001", "/journal/proof?head=abc"),
    "o-01": ("/today",),
    "v-002": ("/path",),
    "v-004": ("/path",),
}


@pytest.fixture(scope="module")
def floor(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Serve the small Saturday on its morning, planned in part, and give its address."""
    world: World = make_world(tmp_path_factory.mktemp("overview") / "instance")
    world.publish()
    saturday(world)
    world.clock.moment = at("08:40")
    put(world, 1, "balance-lane", "v-001", role="lead")
    put(world, 1, "balance-lane", "v-002", "p-01")
    with served(world) as address:
        yield address
    world.instance.database.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1280])
@pytest.mark.parametrize("code", PAGES)
def test_a_page_has_no_findings_and_fits(browser: Browser, floor: str, code: str, width: int, scheme: str) -> None:
    """Axe finds nothing, the page does not scroll sideways, and what stands alone is big enough to be met."""
    page = sign_in(browser, floor, width, scheme, code)
    for address in PAGES[code]:
        page.goto(address)
        assert violations(page) == [], address
        assert page.evaluate("document.documentElement.scrollWidth") <= width, address
        assert page.evaluate(SMALL) == [], address
    page.context.close()


def test_the_one_next_step_is_pressed_and_leads_there(browser: Browser, floor: str) -> None:
    """A volunteer who holds nothing goes from the box straight into the module."""
    page = sign_in(browser, floor, 390, "light", "v-004")
    page.goto("/path")
    page.get_by_role("region", name="Next", exact=True).get_by_role("link").click()
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    assert "/learn/safety" in page.url
    page.context.close()


def test_the_journal_is_read_page_by_page_with_the_keyboard(browser: Browser, floor: str) -> None:
    """Filter, older and newer are links and a form; no pointer is needed."""
    page = sign_in(browser, floor, 1280, "light", "c-01")
    page.goto("/journal")
    page.get_by_label("About the code").fill("v-001")
    page.keyboard.press("Enter")
    expect(page.locator(".answer")).to_contain_text("about Person v-001")
    page.get_by_role("link", name="prove the chain").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("The chain holds")
    page.context.close()
