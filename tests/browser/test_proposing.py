"""The best plan looked for in the background: begun, seen to go on, stopped, left, come back to, accepted."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from threading import Event
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from mentor_training.application import KINDS
from mentor_training.jobs.work import Kind, Work
from mentor_training.jobs.worker import Worker
from mentor_training.planning.actions.looking import find_plan
from mentor_training.planning.queries.plan import standing_in
from mentor_training.planning.queries.proposals import KIND
from tests.browser.axe import violations
from tests.browser.entering import sign_in
from tests.browser.serving import served
from tests.builders import World, make_world
from tests.planning.saturday import saturday

PAGE = "/sessions/s-11/proposal"


class Slow:
    """The program's own search, which first waits until it is let go on or stopped, as a large floor would."""

    def __init__(self) -> None:
        self.let_go = Event()

    def __call__(self, work: Work) -> Any:
        work.takes_at_most(work.arguments["seconds"])
        work.step("most participant-blocks covered")
        while not work.stopped() and not self.let_go.wait(0.05):
            pass
        return find_plan(work)


@pytest.fixture
def floor(tmp_path: Path) -> Iterator[tuple[World, str, Slow]]:
    """Serve the Saturday with a worker whose search waits; give the world, its address and the search."""
    world = make_world(tmp_path / "instance")
    world.publish()
    saturday(world)
    search, of = Slow(), KINDS[KIND]
    worker = Worker(world.instance, {KIND: Kind(search, of.titled, of.leads_to, of.counted)})
    worker.start()
    with served(world) as address:
        yield world, address, search
    worker.stop()
    world.instance.database.close()


def check(page: Page, width: int) -> None:
    """Hold a page to have no findings and to fit."""
    assert violations(page) == [], page.url
    assert page.evaluate("document.documentElement.scrollWidth") <= width, page.url


def placed(world: World) -> int:
    with world.reading() as db:
        return len(standing_in(db, "s-11"))


@pytest.mark.parametrize(("width", "scheme"), [(390, "light"), (390, "dark"), (1280, "light"), (1280, "dark")])
def test_a_search_is_begun_stopped_left_come_back_to_and_its_plan_accepted(
    browser: Browser, floor: tuple[World, str, Slow], width: int, scheme: str
) -> None:
    """No page asks for a script to go on, none has findings, and nothing is stored before it is accepted."""
    world, address, _ = floor
    page = sign_in(browser, address, width, scheme)
    page.goto("/sessions/s-11")
    page.get_by_role("link", name="Propose a plan").click()
    check(page, width)
    page.get_by_label("How long it may look").select_option("120")
    page.get_by_role("button", name="Look for the best plan").click()
    expect(page.get_by_text("It has been running for")).to_be_visible(timeout=20_000)
    expect(page.get_by_text("s of at most 120 s").first).to_be_visible(timeout=20_000)
    expect(page.get_by_text("most participant-blocks covered now")).to_be_visible()
    assert page.get_by_role("progressbar").count() == 1
    page.get_by_role("link", name="Have it stand still").click()
    check(page, width)
    page.goto("/sessions")
    page.goto(PAGE)
    expect(page.get_by_text("It has been running for")).to_be_visible()
    page.get_by_role("link", name="the list of background work").click()
    check(page, width)
    page.get_by_role("link", name="Looking for the best plan of session s-11").click()
    page.get_by_role("button", name="Stop, and keep the best so far").click()
    expect(page.get_by_role("heading", name="Proposed plan")).to_be_visible(timeout=20_000)
    expect(page.get_by_text("the search was stopped, and this is the best it had by then")).to_be_visible()
    expect(page.get_by_text("it is not proven that no plan covers more")).to_be_visible()
    assert placed(world) == 0
    check(page, width)
    page.context.close()


def test_left_and_come_back_to_once_it_is_done_the_plan_waits_to_be_accepted(
    browser: Browser, floor: tuple[World, str, Slow]
) -> None:
    """It is found while nobody looks; accepted, it stands."""
    world, address, search = floor
    page = sign_in(browser, address, 390, "light")
    page.goto(PAGE)
    page.get_by_role("button", name="Look for the best plan").click()
    expect(page.get_by_text("It has been running for")).to_be_visible(timeout=20_000)
    page.goto("/sessions")
    search.let_go.set()
    page.goto("/jobs")
    page.wait_for_timeout(500)
    page.goto(PAGE)
    expect(page.get_by_role("heading", name="Proposed plan")).to_be_visible(timeout=20_000)
    page.get_by_role("button", name="Accept this plan").click()
    expect(page.get_by_text("placements stored; whoever was placed stayed.")).to_be_visible()
    assert placed(world) >= 4
    page.context.close()
