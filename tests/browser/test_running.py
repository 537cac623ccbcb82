"""The briefing and the floor by the clock: on a phone, at a desk, by night, and on paper."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from mentor_training.calendar.actions import store_session
from mentor_training.planning.actions.shadowing import shadow
from tests.browser.axe import violations
from tests.browser.entering import sign_in
from tests.browser.serving import served
from tests.browser.test_covering import SMALL
from tests.builders import World, make_world
from tests.planning.saturday import COORDINATES, at, put, saturday, session

PAGES = (
    "/sessions/s-11/now", "/sessions/s-11/briefing", "/sessions/s-11/undo", "/sessions/s-11/blocks/1/shadow",
    "/sessions/s-10/attendance", "/pairing",
)  # fmt: skip


@pytest.fixture(scope="module")
def floor(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Serve the Saturday in its first block; give its address."""
    world: World = make_world(tmp_path_factory.mktemp("running") / "instance")
    world.publish()
    saturday(world)
    for block in (1, 2):
        put(world, block, "balance-lane", "v-001")
        put(world, block, "balance-lane", "v-003", "p-02")
    put(world, 1, "target-games", "v-002", "p-01")
    put(world, 1, "arrival-desk", "v-005", role="duty")
    with world.writing() as db:
        store_session(db, world.clock.now(), COORDINATES, session("s-10", date(2026, 10, 10)))
        shadow(db, world.clock.now(), COORDINATES, "s-11", 1, "balance-lane", "v-006")
    world.clock.moment = at("09:55")
    with served(world) as address:
        yield address
    world.instance.database.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1280])
def test_the_pages_of_the_day_have_no_findings_fit_and_can_be_pressed(
    browser: Browser, floor: str, width: int, scheme: str
) -> None:
    """For the coordinator, and the lead's own pairing with who works supervised under them."""
    page = sign_in(browser, floor, width, scheme)
    for address in PAGES[:-1]:
        page.goto(address)
        assert violations(page) == [], address
        assert page.evaluate("document.documentElement.scrollWidth") <= width, address
        assert page.evaluate(SMALL) == [], address
    page.context.close()
    lead = sign_in(browser, floor, width, scheme, "v-001")
    lead.goto(PAGES[-1])
    assert "Person v-003 with Name02" in lead.inner_text("main")
    assert violations(lead) == []
    assert lead.evaluate("document.documentElement.scrollWidth") <= width
    lead.context.close()


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_the_briefing_of_a_small_saturday_is_one_sheet(browser: Browser, floor: str, size: str, tmp_path: Path) -> None:
    """On both papers."""
    page = sign_in(browser, floor, 1280)
    page.goto("/sessions/s-11/briefing")
    page.pdf(path=tmp_path / "briefing.pdf", format=size, prefer_css_page_size=False)
    assert (tmp_path / "briefing.pdf").read_bytes().count(b"/Type /Page\n") == 1
    page.context.close()
