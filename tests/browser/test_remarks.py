"""Short remarks to press: they go into the line of text and out of it, with a network and without."""

from __future__ import annotations

from playwright.sync_api import Browser, Locator, Page, expect

from mentor_training.program.catalog import USUAL_REMARKS
from tests.browser.axe import violations
from tests.browser.phone import CRITERIA, NOT_SENT, phone_at, stored
from tests.browser.serving import served
from tests.builders import World

FIRST, SECOND = USUAL_REMARKS[0], USUAL_REMARKS[4]


def remark(page: Page, words: str) -> Locator:
    return page.get_by_role("group", name="Short remarks").get_by_role("button", name=words)


def test_remarks_are_pressed_without_a_network_and_arrive_as_the_remark(browser: Browser, floor: World) -> None:
    """Pressed again they go out again; what was typed stays after them, and all of it is there after a reload."""
    with served(floor) as address, phone_at(browser, address) as phone:
        phone.sign_in("o-01")
        phone.get_ready()
        phone.context.set_offline(True)
        phone.tap(".row-link:has-text('Odalys Brannagh 1')")
        phone.tap(".row-link:has-text('Guarding')")
        page, line = phone.page, phone.page.get_by_role("textbox", name="Remark")
        line.fill("left foot first")
        remark(page, SECOND).tap()
        remark(page, FIRST).tap()
        expect(line).to_have_value(f"{FIRST}. {SECOND}. left foot first")
        remark(page, SECOND).tap()
        expect(line).to_have_value(f"{FIRST}. left foot first")
        expect(remark(page, FIRST)).to_have_attribute("aria-pressed", "true")
        expect(remark(page, SECOND)).to_have_attribute("aria-pressed", "false")
        page.evaluate("window.scrollTo(0, 0)")
        assert violations(page) == []
        page.reload()
        expect(remark(page, FIRST)).to_have_attribute("aria-pressed", "true")
        for number in range(1, CRITERIA + 1):
            phone.tap(f"label[for=mark-{number}-done]")
        phone.tap("label[for=live-yes]")
        phone.tap("button:has-text('Save the observation')")
        expect(page.locator(NOT_SENT)).to_have_text("1 not sent yet")
        phone.context.set_offline(False)
        expect(page.locator(NOT_SENT)).to_have_text("0 not sent yet", timeout=60_000)
    assert [row.remark for row in stored(floor)] == [f"{FIRST}. left foot first"]


def test_the_page_with_a_network_has_the_same_remarks(browser: Browser, floor: World) -> None:
    """What was pressed is pressed again when the form comes back with something to put right."""
    with served(floor) as address, phone_at(browser, address) as phone:
        phone.sign_in("o-01")
        page = phone.page
        page.goto("/observe/v-001/guarding")
        remark(page, FIRST).tap()
        expect(page.get_by_role("textbox", name="Remark")).to_have_value(f"{FIRST}.")
        page.get_by_role("button", name="Save the observation").tap()
        expect(page.locator(".error-summary")).to_be_visible()
        expect(remark(page, FIRST)).to_have_attribute("aria-pressed", "true")
        page.get_by_role("textbox", name="Remark").fill("")
        expect(remark(page, FIRST)).to_have_attribute("aria-pressed", "false")
        assert violations(page) == []
