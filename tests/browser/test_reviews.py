"""Reviews, sign-offs one after another and incidents on a phone and at a desk."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, expect

from tests.browser.entering import hold_sound, sign_in_anew, tap
from tests.browser.serving import served
from tests.builders import FRIDAY, PASSWORD, World, make_world
from tests.observing.floor import add_observer, add_session, see_on

WIDTHS = (390, 1280)


@pytest.fixture
def floor(tmp_path: Path) -> Iterator[World]:
    """Give an instance with a stop, two volunteers who are ready and one who was signed off."""
    world = make_world(tmp_path / "instance")
    world.publish()
    world.add_person("c-01", "coordinator", name="Wilhelmina Oduya")
    for code, name in (("v-001", "Odalys Brannagh"), ("v-002", "Ruadh Penhallow"), ("v-003", "Ilse Takamori")):
        world.add_person(code, name=name)
    add_observer(world, "o-01")
    add_observer(world, "o-02")
    add_session(world, "s-11", FRIDAY, "v-001;v-002;v-003", "o-01;o-02")
    for code in ("v-002", "v-003"):
        see_on(world, FRIDAY - timedelta(days=4), "o-01", code)
        see_on(world, FRIDAY - timedelta(days=1), "o-02", code)
    see_on(world, FRIDAY, "o-01", "v-001", "stopped done done done", station="balance-lane")
    yield world
    world.instance.database.close()


@pytest.fixture(params=WIDTHS)
def context(request: pytest.FixtureRequest, browser: Browser, floor: World) -> Iterator[BrowserContext]:
    """Give a browser of a phone's and of a desk's width, on the served instance."""
    with served(floor) as address:
        opened = browser.new_context(
            viewport={"width": request.param, "height": 844}, has_touch=True, base_url=address
        )  # fmt: skip
        yield opened
        opened.close()


def test_a_stand_down_takes_two_taps_from_the_review(context: BrowserContext) -> None:
    """One for where it holds, one for the button; every page on the way is sound."""
    page = sign_in_anew(context, "c-01")
    page.goto("/reviews/1")
    hold_sound(page)
    page.locator("label", has_text="Everywhere").tap()
    tap(page, "button", "Stand Odalys Brannagh down")
    expect(page.get_by_role("status").first).to_contain_text("it is in force")
    page.get_by_role("textbox", name="What has to be shown again").fill("The whole skill, with a lead beside.")
    tap(page, "button", "Record it")
    expect(page.get_by_text("has not been seen yet")).to_be_visible()
    hold_sound(page)
    for address in ("/reviews", "/observations/1/strike", "/incidents"):
        page.goto(address)
        hold_sound(page)


def test_sign_offs_are_gone_through_one_after_another(context: BrowserContext, floor: World) -> None:
    """From the list to the first, from there to the next, with the password each time."""
    page = sign_in_anew(context, "o-01")
    page.goto("/sign-offs")
    hold_sound(page)
    tap(page, "link", "Begin with this one")
    for _ in range(2):
        expect(page.get_by_role("heading", level=1)).to_contain_text("Sign-off: Guarding")
        hold_sound(page)
        page.get_by_label("Your password again").fill(PASSWORD)
        tap(page, "button", "Sign off")
    expect(page.get_by_role("status").first).to_contain_text("No other sign-off waits for you")
    page.goto("/observe/v-002/guarding/sign-off")
    hold_sound(page)
    tap(page, "link", "Withdraw it")
    hold_sound(page)


def test_an_incident_is_reported_in_a_form_that_is_sound(context: BrowserContext) -> None:
    """Choosing the session, writing the facts, and looking at what was written."""
    page = sign_in_anew(context, "o-01")
    page.goto("/incidents/new")
    hold_sound(page)
    tap(page, "link", "Session s-11")
    hold_sound(page)
    page.get_by_label("About when").fill("09:55")
    page.get_by_role("textbox", name="What happened").fill("A strap tore; the belt was taken out of use.")
    page.get_by_label("Odalys Brannagh").check()
    tap(page, "button", "Record the incident")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Incident 1")
    hold_sound(page)
