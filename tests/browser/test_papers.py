"""A card's picture from the phone to its verification at the desk: real file, real browser, in light and dark."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Literal

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.entering import hold_sound, sign_in_anew, tap
from tests.browser.serving import served
from tests.builders import FRIDAY, World, make_world
from tests.observing.floor import add_session
from tests.papers.desk import folder, lay_out
from tests.papers.scans.samples import document, picture


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[World]:
    """Give the desk, with a session in two weeks at which somebody's paper has ended."""
    world = make_world(tmp_path / "instance")
    world.publish()
    lay_out(world)
    add_session(world, "s-11", FRIDAY + timedelta(days=15), "v-001;v-002", "o-01")
    world.hold("v-001", "module/safety")
    world.hold("v-001", "paper/background-check", last_day=FRIDAY + timedelta(days=12))
    yield world
    world.instance.database.close()


@pytest.fixture(params=("light", "dark"))
def context(request: pytest.FixtureRequest, browser: Browser, desk: World) -> Iterator[BrowserContext]:
    """Give a phone's browser in each of the two schemes, on the served instance."""
    scheme: Literal["light", "dark"] = request.param
    with served(desk) as address:
        opened = browser.new_context(
            viewport={"width": 390, "height": 844}, has_touch=True, color_scheme=scheme, base_url=address
        )
        yield opened
        opened.close()


def test_a_card_from_the_phone_to_its_verification(context: BrowserContext, desk: World, tmp_path: Path) -> None:
    """Half a picture is refused beside the field with the dates kept; the whole one is seen, verified, and gone."""
    card = tmp_path / "IMG 0042.jpg"
    page = sign_in_anew(context, "v-001")
    page.goto("/path")
    hold_sound(page)
    expect(page.get_by_text("Ends before your session on")).to_be_visible()
    page.goto("/papers?paper=cpr-card#put")
    hold_sound(page)
    page.get_by_label("Issued on").fill("2026-10-01")
    card.write_bytes(picture()[:-300])
    page.get_by_label("Picture or PDF of it").set_input_files(card)
    tap(page, "button", "Put it on file")
    expect(page.locator("#scan-wrong")).to_contain_text("only a part of it arrived")
    expect(page.get_by_label("Issued on")).to_have_value("2026-10-01")
    hold_sound(page)
    card.write_bytes(picture(size=(3000, 2000)))
    page.get_by_label("Picture or PDF of it").set_input_files(card)
    tap(page, "button", "Put it on file")
    expect(page.get_by_text("it waits to be verified").first).to_be_visible()
    hold_sound(page)
    _share(page)
    _verify(sign_in_anew(context, "c-01"))
    assert folder(desk).names() == frozenset()


def _share(page: Page) -> None:
    """The first-aid card is on the same picture."""
    page.goto("/papers?paper=first-aid-card#put")
    page.get_by_label("Issued on").fill("2026-10-02")
    page.get_by_label("Or the same picture as").select_option("1")
    tap(page, "button", "Put it on file")


def _verify(page: Page) -> None:
    """The coordinator sees the picture, corrects a day, answers about the hands-on part; then the other card."""
    page.goto("/papers/waiting")
    hold_sound(page)
    tap(page, "link", "Look and verify")
    seen = page.locator(".scan img")
    assert seen.evaluate("picture => picture.decode().then(() => picture.naturalWidth)") == 2000
    hold_sound(page)
    tap(page, "button", "Verify it")
    expect(page.get_by_text("Answer it: without the hands-on part the paper does not count.").first).to_be_visible()
    hold_sound(page)
    page.get_by_label("Good through, as printed").fill("2028-09-30")
    page.get_by_label("Yes, seen or confirmed").check()
    tap(page, "button", "Verify it")
    expect(page.get_by_text("good through Sat 30 Sep 2028")).to_be_visible()
    tap(page, "link", "Look and verify")
    tap(page, "button", "Verify it")
    expect(page.get_by_text("0 papers wait")).to_be_visible()
    for address in ("/papers/of/v-001", "/papers/ending", "/today"):
        page.goto(address)
        hold_sound(page)


def test_a_pdf_opens_under_the_policy_it_is_given_with(context: BrowserContext, tmp_path: Path) -> None:
    """The browser takes it as a PDF, and nothing is said against it."""
    card = tmp_path / "card.pdf"
    card.write_bytes(document())
    page = sign_in_anew(context, "v-001")
    page.goto("/papers?paper=cpr-card#put")
    page.get_by_label("Issued on").fill("2026-10-01")
    page.get_by_label("Picture or PDF of it").set_input_files(card)
    tap(page, "button", "Put it on file")
    answer = page.request.get("/papers/own/scans/1")
    assert (answer.status, answer.headers["content-type"], answer.body()[:5]) == (200, "application/pdf", b"%PDF-")
