"""A calibration from the empty form to the standing, on a phone and at a desk, in light and dark."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.entering import hold_sound, sign_in_anew, tap
from tests.browser.serving import served
from tests.builders import World, make_world
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


def choose(page: Page, words: str) -> None:
    """Mark criterion after criterion."""
    for number, word in enumerate(words.split(), 1):
        page.locator(f"label[for=mark_{number}-{word}]").tap()


def test_a_set_goes_from_the_empty_form_to_a_calibrated_observer(context: BrowserContext) -> None:
    """The instructor sets it up and keys it, the observer scores it mark by mark, the coordinator taps once."""
    the_instructor_sets_it_up(sign_in_anew(context, "i-01"))
    the_observer_scores_it(sign_in_anew(context, "o-01"))
    page = sign_in_anew(context, "c-01")
    page.goto("/calibrations/1")
    hold_sound(page, ("light", "dark"))
    tap(page, "button", "Calibrate Sunniva Tallis")
    expect(page.get_by_role("status").first).to_contain_text("Sunniva Tallis is calibrated from today on.")
    for address in ("/observers", "/observers/o-01", "/calibrations/live"):
        page.goto(address)
        hold_sound(page, ("light", "dark"))


def the_instructor_sets_it_up(page: Page) -> None:
    page.goto("/calibrations")
    hold_sound(page, ("light", "dark"))
    tap(page, "link", "Set up a new one")
    hold_sound(page, ("light", "dark"))
    page.get_by_label("Title").fill("Before the term")
    page.get_by_label("Performance 1: skill").select_option("guarding")
    page.get_by_label("Performance 1: called").fill("By the rail")
    page.get_by_label("Performance 1: what is played").fill("Stands too far off.")
    page.get_by_label("Performance 1: where the clip lies").fill("Clip 1 in the gym's folder")
    tap(page, "button", "Record the set")
    hold_sound(page, ("light", "dark"))
    choose(page, "done not-done done done")
    page.get_by_label("Criterion 4: right as well").select_option("another-way")
    page.get_by_label("Agreed by").select_option("i-01")
    page.get_by_label("And by").select_option("c-01")
    tap(page, "button", "Record the key")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Before the term")
    hold_sound(page, ("light", "dark"))


def the_observer_scores_it(page: Page) -> None:
    page.goto("/observe")
    hold_sound(page, ("light", "dark"))
    tap(page, "link", "Your calibration")
    hold_sound(page, ("light", "dark"))
    tap(page, "link", "Before the term")
    hold_sound(page, ("light", "dark"))
    tap(page, "link", "Begin with performance 1")
    hold_sound(page, ("light", "dark"))
    choose(page, "done not-done helped done")
    tap(page, "button", "Store and go on")
    tap(page, "link", "1. By the rail")
    expect(page.locator("#mark_3-helped")).to_be_checked()
    choose(page, "done not-done done done")
    tap(page, "button", "Store and go on")
    hold_sound(page, ("light", "dark"))
    tap(page, "button", "Close the set")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Passed")
    hold_sound(page, ("light", "dark"))


def test_every_page_of_a_set_with_differences_is_sound(context: BrowserContext, staff: World) -> None:
    """With two who have closed it, of whom one missed both unsafe acts, and one who is on the way."""
    number = stage(staff).number
    finish(staff, "o-01", number, "done not-done done another-way", "done stopped")
    finish(staff, "o-02", number, "done done helped done", "done done")
    page = sign_in_anew(context, "i-02")
    for address in ("/calibrations", f"/calibrations/{number}", f"/calibrations/{number}/key/1"):
        page.goto(address)
        hold_sound(page, ("light", "dark"))
    page = sign_in_anew(context, "o-02")
    for address in (f"/calibrations/{number}/mine", "/calibrations/mine", f"/calibrations/{number}/score"):
        page.goto(address)
        hold_sound(page, ("light", "dark"))
