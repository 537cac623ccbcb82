"""Setting a pass mark by judges, in a real browser: on a phone and at a desk, and what is wrong takes the focus."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.axe import violations
from tests.browser.entering import sign_in
from tests.browser.serving import served
from tests.builders import make_world
from tests.learning.test_judging import DANA, ITEMS, LEE, judged

PAGE = "/items/safety/pass-mark"


@pytest.fixture(scope="module")
def term(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Serve a program whose quiz two judged, and then one of them again, and give its address."""
    world = make_world(tmp_path_factory.mktemp("pass-marks") / "instance")
    world.publish()
    world.add_person("c-01", "coordinator")
    judged(world, DANA, LEE)
    judged(world, DANA)
    with served(world) as address:
        yield address
    world.instance.database.close()


@pytest.fixture
def unjudged(tmp_path: Path) -> Iterator[str]:
    """Serve a program whose quiz nobody judged yet: what is recorded twice would be refused."""
    world = make_world(tmp_path / "instance")
    world.publish()
    world.add_person("c-01", "coordinator")
    with served(world) as address:
        yield address
    world.instance.database.close()


def write(page: Page, judge: int, name: str, percents: tuple[int, ...]) -> None:
    """Type what one judge says, cell by cell, by the names that a screen reader says."""
    page.get_by_label(f"Judge {judge}", exact=True).fill(name)
    for item, percent in zip(ITEMS, percents, strict=True):
        page.get_by_label(f"Judge {judge}, item {item}, percent").fill(str(percent))


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1280])
def test_the_page_and_its_errors_have_no_findings_and_fit(browser: Browser, term: str, width: int, scheme: str) -> None:
    """Axe finds nothing, nothing scrolls sideways, and what was wrong takes the focus."""
    page = sign_in(browser, term, width, scheme)
    page.goto(PAGE)
    assert violations(page) == []
    write(page, 1, "Dana Reyes", (80, 70, 950, 60, 90))
    page.get_by_role("button", name="Record what they said").click()
    expect(page.locator("#error-summary")).to_be_focused()
    assert violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.get_by_role("link", name="Judge 1 (Dana Reyes), item in-order").click()
    expect(page.get_by_label("Judge 1, item in-order, percent")).to_be_focused()
    page.context.close()


@pytest.mark.parametrize("width", [390, 1280])
def test_a_coordinator_finds_the_page_and_records_what_two_judges_say(
    browser: Browser, unjudged: str, width: int
) -> None:
    """From the program's modules; what is typed into the third column is the second judge's."""
    page = sign_in(browser, unjudged, width)
    page.goto("/program")
    page.get_by_role("link", name="pass mark of Safety: 80%").click()
    write(page, 1, DANA.judge, DANA.percents)
    write(page, 3, LEE.judge, LEE.percents)
    page.get_by_role("button", name="Record what they said").click()
    expect(page.get_by_text("What 2 judges said is recorded.")).to_be_visible()
    expect(page.locator("pre")).to_contain_text('pass_mark: 0.80\npass_mark_source: "Angoff 1971, set on 2026-10-16')
    assert violations(page) == []
    page.context.close()


@pytest.mark.parametrize("width", [390, 1280])
def test_every_cell_is_large_enough_to_be_met_by_a_thumb(browser: Browser, term: str, width: int) -> None:
    """44 by 44 pixels at least, and all eight columns are in sight without scrolling sideways."""
    page = sign_in(browser, term, width)
    page.goto(PAGE)
    for judge in (1, 8):
        box = page.get_by_label(f"Judge {judge}, item door, percent").bounding_box()
        assert box is not None
        assert min(box["width"], box["height"]) >= 44
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= width
    page.context.close()
