"""The floor page in the hand of one observer and another: who signs in and out, and how it looks and speaks."""

from __future__ import annotations

from typing import Literal

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.axe import violations
from tests.browser.phone import CRITERIA, FLOOR, NOT_SENT, eventually, phone_at, stored
from tests.browser.serving import served
from tests.builders import PASSWORD, World

# WCAG 2.2, 2.5.5 (level AAA): 44 by 44 CSS pixels for what is pressed while observing.
SMALL = """() => [...document.querySelectorAll(`#floor label:not(.field > label), #floor .button, #floor select,
  #floor summary, #floor .row-link, #floor .waiting-count a`)].filter((one) => one.offsetParent &&
  Math.min(one.getBoundingClientRect().height, one.getBoundingClientRect().width) < 44)
  .map((one) => one.outerHTML.slice(0, 90))"""


def test_signing_out_with_something_unsent_asks_first_and_another_observer_does_not_send_it(
    browser: Browser, floor: World
) -> None:
    """It waits, bound to the one who made it, until they sign in again on this phone."""
    with served(floor) as address, phone_at(browser, address) as phone:
        phone.sign_in("o-01")
        phone.get_ready()
        phone.observe("Odalys Brannagh 1")
        phone.page.goto("/observe")
        expect(phone.page.locator(".unsent")).to_have_text("1 not sent yet")
        with phone.page.expect_event("dialog") as no:
            phone.page.get_by_role("button", name="Sign out").tap()
        assert no.value.message.startswith("One observation is on this phone and not sent.")
        no.value.dismiss()
        phone.page.on("dialog", lambda dialog: dialog.accept())
        phone.sign_out()
        phone.sign_in("o-02")
        phone.get_ready()
        expect(phone.page.locator("#kept")).to_contain_text("Observing as Person o-02")
        phone.tap(NOT_SENT)
        expect(phone.page.locator("#view")).to_contain_text("1 of another observer on this phone")
        assert stored(floor) == []
        phone.sign_out()
        phone.sign_in("o-01")
        phone.page.goto(FLOOR)
        assert eventually(lambda: len(stored(floor)) == 1)
        assert stored(floor)[0].observer == "o-01"


def test_signed_out_meanwhile_the_queue_stays_and_goes_out_after_signing_in_again(
    browser: Browser, floor: World
) -> None:
    """The page says so, and leads to where one signs in and back."""
    with served(floor) as address, phone_at(browser, address) as phone:
        phone.sign_in("o-01")
        phone.get_ready()
        phone.context.set_offline(True)
        phone.observe("Odalys Brannagh 1")
        phone.context.clear_cookies()
        phone.open_again()
        phone.context.set_offline(False)
        expect(phone.page.locator("#connection")).to_contain_text("You are signed out", timeout=20_000)
        phone.tap("#connection a")
        phone.page.get_by_label("E-mail").fill("o-01@marrowdale.example")
        phone.page.get_by_label("Password").fill(PASSWORD)
        phone.page.get_by_role("button", name="Sign in").tap()
        expect(phone.page.locator(NOT_SENT)).to_have_text("0 not sent yet", timeout=20_000)
        assert len(stored(floor)) == 1


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_view_of_the_floor_page_is_accessible_with_big_targets(
    browser: Browser, floor: World, scheme: Literal["light", "dark"]
) -> None:
    """People, skills, marks and what waits, by day and by night; nothing wider than the phone, errors said in words."""
    with served(floor) as address, phone_at(browser, address, scheme=scheme) as phone:
        phone.sign_in("o-01")
        phone.get_ready()
        page = phone.page
        page.locator("#filter").fill("brannagh 3")
        expect(page.locator(".row-link:visible")).to_have_count(1)
        assert_fine(page)
        phone.tap(".row-link:visible")
        expect(page.get_by_role("heading", level=1)).to_be_focused()
        assert_fine(page)
        phone.tap(".row-link:has-text('Guarding')")
        expect(page.locator(".criterion").first).to_contain_text("Critical.")
        expect(page.locator(".way input").first).to_be_hidden()
        phone.tap("label[for=mark-2-another-way]")
        expect(page.locator("#way-2")).to_be_visible()
        phone.tap("button:has-text('Save the observation')")
        expect(page.locator("#error-summary")).to_be_focused()
        expect(page.locator("#error-summary")).to_contain_text("Criterion 2: Say which other way it was done.")
        assert_fine(page)
        page.reload()
        expect(page.locator("#mark-2-another-way")).to_be_checked()
        page.goto(f"{FLOOR}#waiting")
        expect(page.get_by_role("heading", level=1)).to_have_text("What waits on this phone")
        assert_fine(page)


def test_with_letters_twice_as_large_nothing_is_cut_off_or_has_to_be_pushed_sideways(
    browser: Browser, floor: World
) -> None:
    """At 200 percent the phone of 390 pixels has 195 (WCAG 2.2, 1.4.4 and 1.4.10)."""
    with served(floor) as address, phone_at(browser, address) as phone:
        phone.sign_in("o-01")
        phone.get_ready()
        page = phone.page
        page.set_viewport_size({"width": 195, "height": 422})
        for selector in ("#scan", ".row-link:has-text('Brannagh 3')", ".row-link:has-text('Guarding')"):
            assert page.evaluate("document.documentElement.scrollWidth") <= 195
            phone.tap(selector)
            if selector == "#scan":
                phone.tap("#scanner-close")
        expect(page.locator(".criterion")).to_have_count(CRITERIA)
        assert page.evaluate("document.documentElement.scrollWidth") <= 195


def assert_fine(page: Page) -> None:
    """Hold a view to the accessibility checker, to big targets and to the phone's width."""
    assert violations(page) == []
    assert page.evaluate(SMALL) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
