"""Observing on a phone held in one hand: big targets, one mark at a time, nothing typed that is lost."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.axe import violations
from tests.browser.entering import fill_sign_in
from tests.browser.serving import served
from tests.builders import FRIDAY, PASSWORD, World, make_world
from tests.observing.floor import add_observer, see_on

# WCAG 2.2, 2.5.5 (level AAA): 44 by 44 CSS pixels for what is pressed. A summary's own line counts as its height.
SMALL = """() => [...document.querySelectorAll(`main label:not([for^=way], .field > label), main .button, main select,
  main summary, main input[type=date]`)].filter(one => one.offsetParent && one.getBoundingClientRect().height < 44)
  .map(one => one.outerHTML.slice(0, 80))"""


@pytest.fixture
def floor(tmp_path: Path) -> Iterator[World]:
    """Give an instance with a volunteer who was seen once, and two observers."""
    world = make_world(tmp_path / "instance")
    world.publish()
    world.add_person("v-001", name="Odalys Brannagh")
    add_observer(world, "o-01")
    add_observer(world, "o-02")
    see_on(world, FRIDAY - timedelta(days=4), "o-01", "v-001")
    yield world
    world.instance.database.close()


@pytest.fixture(params=["light", "dark"])
def phone(request: pytest.FixtureRequest, browser: Browser, floor: World) -> Iterator[Page]:
    """Give a page of a phone with a touch screen, signed in as an observer, by day and by night."""
    with served(floor) as address:
        context = browser.new_context(
            viewport={"width": 390, "height": 844}, has_touch=True, base_url=address, color_scheme=request.param
        )
        page = context.new_page()
        fill_sign_in(page, "o-02")
        yield page
        context.close()


def test_an_observation_with_one_thumb_leads_to_a_sign_off(phone: Page) -> None:
    """Big targets throughout; a missing mark keeps the rest; the other way is asked for only where it is chosen."""
    phone.goto("/observe/v-001/guarding")
    assert phone.evaluate(SMALL) == []
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390
    expect(phone.get_by_label("which other way").first).to_be_hidden()
    for number in (1, 3, 4):
        phone.locator(f"label[for=mark_{number}-done]").tap()
    phone.get_by_role("radio", name="Live").check()
    phone.get_by_role("button", name="Save the observation").tap()
    expect(phone.locator("#error-summary")).to_be_focused()
    expect(phone.locator("#mark_1-done")).to_be_checked()
    assert violations(phone) == []
    phone.locator("label[for=mark_2-another-way]").tap()
    phone.locator("#way_2").fill("From the chair, as agreed")
    phone.get_by_role("button", name="Save the observation").tap()
    expect(phone.get_by_role("heading", level=1)).to_contain_text("Met: Guarding a balance task")
    assert violations(phone) == []
    phone.get_by_role("link", name="Sign off").tap()
    expect(phone.get_by_role("heading", level=1)).to_contain_text("Sign-off: Guarding")
    phone.wait_for_load_state("load")
    assert phone.evaluate(SMALL) == []
    phone.get_by_label("Your password again").fill(PASSWORD)
    phone.get_by_role("button", name="Sign off").tap()
    expect(phone.get_by_role("status").first).to_contain_text("is signed off for Odalys Brannagh")
    assert violations(phone) == []


def test_sheets_are_typed_in_one_after_another_with_the_same_big_targets(phone: Page) -> None:
    """Chosen from the page of prints; a late day is warned of, and day and station stay for the next sheet."""
    phone.goto("/prints")
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390
    assert violations(phone) == []
    phone.get_by_role("link", name="Type in sheets, Guarding").tap()
    expect(phone.get_by_role("heading", level=1)).to_contain_text("from paper")
    phone.wait_for_load_state("load")
    assert phone.evaluate(SMALL) == []
    assert violations(phone) == []
    phone.locator("#person").select_option("v-001")
    phone.locator("#day").fill((FRIDAY - timedelta(days=9)).isoformat())
    phone.locator("#station").select_option("balance-lane")
    phone.get_by_role("radio", name="Simulated").check()
    for number in (1, 2, 3, 4):
        phone.locator(f"label[for=mark_{number}-done]").tap()
    phone.get_by_role("button", name="Save, and on to the next sheet").tap()
    expect(phone.get_by_role("status").first).to_contain_text("It is kept and shown, and does not count.")
    expect(phone.get_by_text("will not count: that is more than 7 days ago")).to_be_visible()
    expect(phone.locator("#station")).to_have_value("balance-lane")
    expect(phone.locator("#person")).to_have_value("")
    expect(phone.locator("#mark_1-done")).not_to_be_checked()
    assert violations(phone) == []
