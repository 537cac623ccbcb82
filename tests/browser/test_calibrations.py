"""A calibration from the empty form to the standing, on a phone and at a desk, in light and dark."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Literal

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.axe import violations
from tests.browser.serving import served
from tests.builders import PASSWORD, World, make_world
from tests.observing.staging import fill_staff, finish, stage

WIDTHS = (390, 1280)


@pytest.fixture
def staff(tmp_path: Path) -> Iterator[World]:
    """Give an instance with those who set up and score calibrations."""
    world = make_world(tmp_path / "instance")
    world.publish()
    fill_staff(world)
    yield world
    world.instance.database.close()


@pytest.fixture(params=WIDTHS)
def context(request: pytest.FixtureRequest, browser: Browser, staff: World) -> Iterator[BrowserContext]:
    """Give a browser of a phone's and of a desk's width, on the served instance."""
    with served(staff) as address:
        size = {"width": request.param, "height": 844}
        opened = browser.new_context(viewport=size, has_touch=True, base_url=address)  # type: ignore[arg-type]
        yield opened
        opened.close()


def sign_in(context: BrowserContext, code: str) -> Page:
    """Open a page as somebody."""
    context.clear_cookies()
    page = context.new_page()
    page.goto("/sign-in")
    page.get_by_label("E-mail").fill(f"{code}@marrowdale.example")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").tap()
    expect(page.get_by_role("button", name="Sign out")).to_be_visible()
    return page


def tap(page: Page, role: Literal["link", "button"], name: str) -> None:
    """Tap something that leads to another page, and wait until that is there."""
    with page.expect_navigation():
        page.get_by_role(role, name=name).first.tap()


def sound(page: Page) -> None:
    """Hold a page to its width, and to the accessibility checker by day and by night."""
    page.wait_for_load_state("load")
    width = page.viewport_size["width"] if page.viewport_size else 0
    assert page.evaluate("document.documentElement.scrollWidth") <= width, page.url
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        assert violations(page) == [], f"{page.url} in {scheme}"
    page.emulate_media(color_scheme="light")


def choose(page: Page, words: str) -> None:
    """Mark criterion after criterion."""
    for number, word in enumerate(words.split(), 1):
        page.locator(f"label[for=mark_{number}-{word}]").tap()


def test_a_set_goes_from_the_empty_form_to_a_calibrated_observer(context: BrowserContext) -> None:
    """The instructor sets it up and keys it, the observer scores it mark by mark, the coordinator taps once."""
    the_instructor_sets_it_up(sign_in(context, "i-01"))
    the_observer_scores_it(sign_in(context, "o-01"))
    page = sign_in(context, "c-01")
    page.goto("/calibrations/1")
    sound(page)
    tap(page, "button", "Calibrate Sunniva Tallis")
    expect(page.get_by_role("status").first).to_contain_text("Sunniva Tallis is calibrated from today on.")
    for address in ("/observers", "/observers/o-01", "/calibrations/live"):
        page.goto(address)
        sound(page)


def the_instructor_sets_it_up(page: Page) -> None:
    page.goto("/calibrations")
    sound(page)
    tap(page, "link", "Set up a new one")
    sound(page)
    page.get_by_label("Title").fill("Before the term")
    page.get_by_label("Performance 1: skill").select_option("guarding")
    page.get_by_label("Performance 1: called").fill("By the rail")
    page.get_by_label("Performance 1: what is played").fill("Stands too far off.")
    page.get_by_label("Performance 1: where the clip lies").fill("Clip 1 in the gym's folder")
    tap(page, "button", "Record the set")
    sound(page)
    choose(page, "done not-done done done")
    page.get_by_label("Criterion 4: right as well").select_option("another-way")
    page.get_by_label("Agreed by").select_option("i-01")
    page.get_by_label("And by").select_option("c-01")
    tap(page, "button", "Record the key")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Before the term")
    sound(page)


def the_observer_scores_it(page: Page) -> None:
    page.goto("/observe")
    sound(page)
    tap(page, "link", "Your calibration")
    sound(page)
    tap(page, "link", "Before the term")
    sound(page)
    tap(page, "link", "Begin with performance 1")
    sound(page)
    choose(page, "done not-done helped done")
    tap(page, "button", "Store and go on")
    tap(page, "link", "1. By the rail")
    expect(page.locator("#mark_3-helped")).to_be_checked()
    choose(page, "done not-done done done")
    tap(page, "button", "Store and go on")
    sound(page)
    tap(page, "button", "Close the set")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Passed")
    sound(page)


def test_every_page_of_a_set_with_differences_is_sound(context: BrowserContext, staff: World) -> None:
    """With two who have closed it, of whom one missed both unsafe acts, and one who is on the way."""
    number = stage(staff).number
    finish(staff, "o-01", number, "done not-done done another-way", "done stopped")
    finish(staff, "o-02", number, "done done helped done", "done done")
    page = sign_in(context, "i-02")
    for address in ("/calibrations", f"/calibrations/{number}", f"/calibrations/{number}/key/1"):
        page.goto(address)
        sound(page)
    page = sign_in(context, "o-02")
    for address in (f"/calibrations/{number}/mine", "/calibrations/mine", f"/calibrations/{number}/score"):
        page.goto(address)
        sound(page)
