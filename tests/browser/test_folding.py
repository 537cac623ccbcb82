"""A table of many columns on a phone: all of it in view without dragging, still sorted, filtered and called a table."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

import pytest
from playwright.sync_api import Browser, Page, expect

from mentor_training.hours.actions import enter_session
from tests.browser.serving import served
from tests.browser.test_four_users import look, sign_in
from tests.builders import FRIDAY, World

WIDER = "[...document.querySelectorAll('.table-room')].filter(one => one.scrollWidth > one.clientWidth).length"


@pytest.fixture
def phone(world: World, browser: Browser) -> Iterator[Page]:
    """Give a phone on an instance where Odalys served on three days, the longest first."""
    world.add_person("v-001", name="Odalys Brannagh", sections="KIN-372-A")
    with world.writing() as db:
        for place, minutes in enumerate((120, 60, 97)):
            came = datetime(2026, 10, 12 + place, 14, tzinfo=UTC)
            left = came + timedelta(minutes=minutes)
            day = FRIDAY - timedelta(days=4 - place)
            enter_session(db, world.clock.now(), "c-01", "v-001", f"s-0{place}", day, came, left)
    with served(world) as address:
        context = browser.new_context(viewport={"width": 390, "height": 844}, base_url=address)
        yield context.new_page()
        context.close()


def test_every_column_of_the_log_is_in_view_on_a_phone_and_can_be_sorted_and_filtered(phone: Page) -> None:
    """The head of its column stands before each figure; at a desk the table is whole."""
    sign_in(phone, "v-001")
    phone.goto("/hours")
    look(phone)
    assert phone.evaluate(WIDER) == 0
    log = phone.get_by_role("table", name="Every entry")
    rows = log.locator("tbody tr")
    expect(rows.first).to_contain_text("97")
    expect(rows.first.get_by_role("cell").nth(3)).to_have_attribute("data-label", "Minutes")
    log.get_by_role("button", name="Minutes").click()
    expect(rows.first).to_contain_text("60")
    phone.get_by_label("Show only rows with").fill("1.62 h")
    expect(rows.filter(visible=True)).to_have_count(1)
    expect(phone.get_by_role("status").filter(has_text=re.compile("1 of 3 rows"))).to_be_visible()
    phone.get_by_label("Show only rows with").fill("")
    phone.set_viewport_size({"width": 1280, "height": 900})
    expect(log.get_by_role("columnheader", name="Minutes")).to_be_visible()
    assert phone.evaluate("getComputedStyle(document.querySelector('#log-table tbody tr')).display") == "table-row"
