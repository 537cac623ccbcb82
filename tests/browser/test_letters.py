"""Letters and mid-term notes in a real browser: nothing that an accessibility checker finds, nothing off the screen."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser

from mentor_training.letters.writing import write_letter
from mentor_training.people.permissions import CONSOLE
from tests.browser.axe import violations
from tests.browser.entering import sign_in
from tests.browser.serving import served
from tests.builders import FRIDAY, NOON, make_world
from tests.hours.term import stated
from tests.letters.midterm import SECTION, middle
from tests.letters.refusing import refused_thrice

SECTION_PAGE = f"/letters/midterm/sections/{SECTION}"
PAGES = {
    "v-001": ("/letters", "/letters/hours/v-001", "/letters/midterm", "/me", "/hours/toward"),
    "i-01": (SECTION_PAGE, f"{SECTION_PAGE}/v-001"),
    "c-01": ("/letters", "/letters/addresses", "/letters/midterm/sections", "/roster", "/verify"),
}


@pytest.fixture(scope="module")
def term(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Serve a section in the middle of its term, with a letter written and an address set aside."""
    world = make_world(tmp_path_factory.mktemp("letters") / "instance")
    world.publish()
    middle(world)
    stated(world)
    with world.writing() as db:
        write_letter(db, NOON, CONSOLE, "v-001", "Small program", FRIDAY)
    refused_thrice(world, "v-002")
    with served(world) as address:
        yield address
    world.instance.database.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1280])
def test_the_pages_have_no_findings_and_fit(browser: Browser, term: str, width: int, scheme: str) -> None:
    """Axe finds nothing, nothing scrolls sideways, and the site's own policy stops nothing."""
    stopped: list[str] = []
    for code, addresses in PAGES.items():
        page = sign_in(browser, term, width, scheme, code)
        page.on("console", lambda said: stopped.append(said.text))
        for address in addresses:
            answer = page.goto(address)
            assert answer is not None
            assert answer.ok, address
            assert violations(page) == [], address
            assert page.evaluate("document.documentElement.scrollWidth") <= width, address
        page.context.close()
    assert stopped == []
