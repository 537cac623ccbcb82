"""Signing in at the browser of the tests, as a person does."""

from __future__ import annotations

from typing import Literal

from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.axe import violations
from tests.builders import PASSWORD


def fill_sign_in(page: Page, code: str) -> Page:
    """Sign in on a page by address and password, and wait until that is done; returns the page."""
    page.goto("/sign-in")
    page.get_by_label("E-mail").fill(f"{code}@marrowdale.example")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_role("button", name="Sign out")).to_be_visible()
    return page


def sign_in(
    browser: Browser,
    address: str,
    width: int,
    scheme: str = "light",
    code: str = "c-01",
    height: int = 900,
) -> Page:
    """Open a page of so many pixels as somebody; who asks for it closes its context."""
    viewport = {"width": width, "height": height}
    context = browser.new_context(viewport=viewport, base_url=address, color_scheme=scheme)  # type: ignore[arg-type]
    return fill_sign_in(context.new_page(), code)


def sign_in_anew(context: BrowserContext, code: str) -> Page:
    """Open another page of a device as somebody, whoever was signed in there before."""
    context.clear_cookies()
    return fill_sign_in(context.new_page(), code)


def tap(page: Page, role: Literal["link", "button"], name: str) -> None:
    """Tap something that leads to another page, and wait until that is there."""
    with page.expect_navigation():
        page.get_by_role(role, name=name).first.tap()


def hold_sound(page: Page, schemes: tuple[Literal["light", "dark"], ...] = ()) -> None:
    """Hold a page to its width and to the accessibility checker, as it is or by day and by night."""
    page.wait_for_load_state("load")
    width = page.viewport_size["width"] if page.viewport_size else 0
    assert page.evaluate("document.documentElement.scrollWidth") <= width, page.url
    for scheme in schemes or (None,):
        if scheme:
            page.emulate_media(color_scheme=scheme)
        assert violations(page) == [], f"{page.url} in {scheme or 'its own colors'}"
    if schemes:
        page.emulate_media(color_scheme="light")
