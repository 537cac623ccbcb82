"""A register moves in through a real browser: findings first, then what it would do, then taken in and written out."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.axe import violations
from tests.browser.entering import fill_sign_in
from tests.browser.serving import served
from tests.builders import World, make_world
from tests.register.files import BINDER, settle, written_out


@pytest.fixture
def moving(tmp_path: Path) -> Iterator[World]:
    """Give a settled instance with an empty register."""
    world = make_world(tmp_path / "instance")
    world.publish()
    yield settle(world)
    world.instance.database.close()


@pytest.fixture(params=[("light", 390), ("dark", 1280)], ids=["phone", "desk"])
def coordinator(request: pytest.FixtureRequest, browser: Browser, moving: World) -> Iterator[Page]:
    """Give a page of a phone by day and of a desk by night, signed in as the coordinator."""
    scheme, width = request.param
    with served(moving) as address:
        context = browser.new_context(viewport={"width": width, "height": 844}, base_url=address, color_scheme=scheme)
        page = context.new_page()
        fill_sign_in(page, "c-01")
        yield page
        context.close()


def choose(page: Page, text: str, button: str) -> None:
    """Choose a file with this text, and press a button of the form."""
    page.get_by_label("register.csv").set_input_files(
        files={"name": "register.csv", "mimeType": "text/csv", "buffer": text.encode()}
    )
    page.get_by_role("button", name=button).click()


def sound(page: Page) -> None:
    """The page is accessible and never wider than the screen."""
    assert violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


def test_a_binder_moves_in_and_out_by_the_page(coordinator: Page, moving: World, tmp_path: Path) -> None:
    """Nothing is stored until the last press; the file that comes out is the register to the byte."""
    page = coordinator
    page.goto("/register")
    sound(page)
    choose(page, BINDER.replace("skill/guarding", "skill/gaurding"), "Take it in")
    expect(page.get_by_role("alert")).to_contain_text("did you mean `skill/guarding`?")
    sound(page)
    choose(page, BINDER, "See what it would do")
    expect(page.get_by_role("heading", name="What this file would do")).to_be_visible()
    sound(page)
    assert written_out(moving).count("\r\n") == 1
    choose(page, BINDER, "Take it in")
    expect(page.get_by_role("status").first).to_contain_text("15 rows read, 15 of them new.")
    sound(page)
    with page.expect_download() as download:
        page.get_by_role("link", name="The register as CSV").click()
    file = tmp_path / download.value.suggested_filename
    download.value.save_as(file)
    assert (file.name, file.read_bytes()) == ("register-2026-10-16.csv", written_out(moving).encode())
