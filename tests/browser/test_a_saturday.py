"""A Saturday from the proposal to the paper: accepted, three do not come, mended, checked in, closed, printed."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import BrowserType, Page, expect

from mentor_training.application import KINDS
from mentor_training.calendar.actions import store_session
from mentor_training.jobs.worker import Worker
from mentor_training.observing.pdf import observe_address
from mentor_training.planning.actions.coming import check_in
from mentor_training.planning.queries.coming import came_to
from mentor_training.planning.queries.plan import closing_of, standing_in
from mentor_training.planning.rules import Placed
from tests.browser.axe import violations
from tests.browser.camera import browser_with, camera_showing, picture_of
from tests.browser.entering import sign_in
from tests.browser.serving import served
from tests.builders import World, make_world
from tests.missing import give_up
from tests.outside.test_prints import text_of
from tests.planning.saturday import (
    COORDINATES,
    ON_THE_FLOOR,
    PARTICIPANTS,
    VOLUNTEERS,
    ZONE,
    at,
    put,
    saturday,
    session,
)

MORE = tuple(f"v-0{number:02}" for number in range(7, 15))
SESSION = "/sessions/s-11"
BY_TAG = "v-001"
DOTS = 80


@pytest.fixture
def world(tmp_path: Path) -> Iterator[World]:
    """Give the small Saturday with eight volunteers more, at half past eight."""
    made = make_world(tmp_path / "instance")
    made.publish()
    saturday(made)
    for code in MORE:
        made.add_person(code)
        made.hold(code, *ON_THE_FLOOR, "skill/guarding", *(f"card/{one}@1" for one in PARTICIPANTS))
    with made.writing() as db:
        store_session(db, made.clock.now(), COORDINATES, replace(session(), volunteers=(*VOLUNTEERS, *MORE)))
    made.clock.moment = at("08:30")
    worker = Worker(made.instance, KINDS)
    worker.start()
    yield made
    worker.stop()
    made.instance.database.close()


def placed(world: World) -> list[Placed]:
    with world.reading() as db:
        return [one.placed for one in standing_in(db, "s-11")]


def test_a_saturday_runs_from_the_proposal_to_the_printed_floor(
    browser_type: BrowserType, browser_type_launch_args: dict[str, Any], world: World, tmp_path: Path
) -> None:
    """By the coordinator, on a phone; nothing but what the pages offer."""
    tag = picture_of(observe_address(world.instance.settings.address, BY_TAG), tmp_path)
    put(world, 1, "balance-lane", BY_TAG)
    with (
        browser_with(browser_type, browser_type_launch_args, *camera_showing(tag)) as browser,
        served(world) as address,
    ):
        page = sign_in(browser, address, 390)
        a_plan_is_proposed_and_accepted(page, world)
        absent = three_do_not_come_and_the_plan_is_mended(page, world)
        those_who_come_are_checked_in(page, world, absent)
        the_session_is_closed(page, world, absent)
        the_floor_is_printed(page, world, tmp_path)
        page.context.close()


def look(page: Page) -> None:
    assert violations(page) == [], page.url
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), page.url


def a_plan_is_proposed_and_accepted(page: Page, world: World) -> None:
    """Every participant-block is covered, and it is proven that no plan covers more."""
    page.goto(SESSION)
    page.get_by_role("link", name="Propose").first.click()
    page.get_by_role("button", name="Look for the best plan").click()
    accept = page.get_by_role("button", name="Accept this plan")
    expect(accept).to_be_visible(timeout=90_000)
    expect(page.get_by_text("6 of 6 participant-blocks have their mentors, and no plan covers more")).to_be_visible()
    look(page)
    accept.click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Week 6, Saturday morning")
    assert {(one.block, one.participant) for one in placed(world) if one.participant} == {
        (block, who) for block in (1, 2) for who in PARTICIPANTS
    }


def three_do_not_come_and_the_plan_is_mended(page: Page, world: World) -> set[str]:
    """What would change is shown first; all are covered again, by nobody who is missing."""
    world.clock.moment = at("09:40")
    absent = set(sorted({one.mentor for one in placed(world)} - {BY_TAG})[:3])
    page.goto(SESSION)
    page.get_by_role("link", name="Somebody is missing").click()
    for code in sorted(absent):
        page.get_by_label(f"Person {code}", exact=True).check()
    page.get_by_role("button", name="Show what would change").click()
    expect(page.get_by_text("Nothing is stored yet.")).to_be_visible()
    look(page)
    assert absent <= {one.mentor for one in placed(world)}
    page.get_by_role("button", name="Store this change").click()
    expect(page.get_by_text("The plan is mended")).to_be_visible()
    after = placed(world)
    assert not absent & {one.mentor for one in after}
    assert len({(one.block, one.participant) for one in after if one.participant}) == 6
    return absent


def those_who_come_are_checked_in(page: Page, world: World, absent: set[str]) -> None:
    """A participant by the list, a volunteer by the name tag, the others meanwhile at the other door."""
    page.goto(SESSION)
    page.get_by_role("link", name="Check in", exact=True).click()
    page.get_by_role("button", name="Here : Name01").click()
    expect(page.get_by_text("Name01 is here.")).to_be_visible()
    page.wait_for_load_state()  # what is said is seen before all of the page has come
    page.get_by_role("button", name="Scan a name tag").click()
    dialog = page.get_by_role("dialog", name="Scan a name tag")
    expect(dialog.get_by_role("status")).to_contain_text(f"Person {BY_TAG} is checked in.", timeout=15_000)
    look(page)
    page.get_by_role("button", name="Close").click()
    with world.writing() as db:
        assert sorted(code for _, code in came_to(db, "s-11")) == ["p-01", BY_TAG]
        for code in (*PARTICIPANTS[1:], *VOLUNTEERS[1:], *MORE):
            kind = "participant" if code in PARTICIPANTS else "volunteer"
            if code not in absent:
                check_in(db, world.clock.now(), COORDINATES, "s-11", kind, code, ZONE)
    world.clock.moment = at("09:55")
    page.goto(f"{SESSION}/now")
    expect(page.get_by_text("Block 1 runs until 10:02")).to_be_visible()
    assert "not here yet" not in page.inner_text("main")
    look(page)


def the_session_is_closed(page: Page, world: World, absent: set[str]) -> None:
    """After its end; who did not come is named before it is done."""
    world.clock.moment = at("11:20")
    page.goto(f"{SESSION}/close")
    missing = page.locator("#absent + p")
    for code in absent:
        expect(missing).to_contain_text(code)
    look(page)
    page.get_by_role("button", name="Close the session").click()
    expect(page.get_by_text("Closed. The floor as it ran is kept")).to_be_visible()
    with world.reading() as db:
        closing = closing_of(db, "s-11")
        assert closing is not None
        assert set(closing.floor["absent"]) == absent
        assert len(closing.floor["placements"]) == len(placed(world))


def the_floor_is_printed(page: Page, world: World, folder: Path) -> None:
    """On one sheet of either paper: stations, blocks, who was with whom; drawn as a picture, it is not bare."""
    page.goto(f"{SESSION}/print")
    for size in ("A4", "Letter"):
        page.pdf(path=folder / "floor.pdf", format=size, prefer_css_page_size=True)
        content = (folder / "floor.pdf").read_bytes()
        text = " ".join(text_of(content, folder).split())
        names = [f"Name0{number}" for number in (1, 2, 3)]
        assert [word for word in (*names, "Balance lane", "Arrival desk", "09:50", "10:05") if word not in text] == []
        assert "Closed Sat 17 Oct 2026, 11:20" in text or "closed Sat 17 Oct 2026, 11:20" in text
        drawn = pictures_of(folder / "floor.pdf")
        assert len(drawn) == 1, f"{len(drawn)} sheets of {size}"
        assert ink_in(drawn[0], (0.0, 0.0, 0.5, 0.6)) > 0.005
        assert ink_in(drawn[0], (0.5, 0.0, 1.0, 0.6)) > 0.002


def pictures_of(path: Path) -> list[Image.Image]:
    """Draw every page of a PDF, as a printer does."""
    if not shutil.which("pdftoppm"):
        give_up("pdftoppm is missing; it comes with poppler-utils")
    subprocess.run(["pdftoppm", "-r", str(DOTS), "-png", path.name, path.stem], cwd=path.parent, check=True)
    found = sorted(path.parent.glob(f"{path.stem}-*.png"))
    drawn = [Image.open(one).convert("L") for one in found]
    for one in found:
        one.unlink()
    return drawn


def ink_in(page: Image.Image, part: tuple[float, float, float, float]) -> float:
    """Return the share of dark points in a part of a page, given by its corners as shares of width and height."""
    left, top, right, bottom = part
    cut = page.crop(
        (int(left * page.width), int(top * page.height), int(right * page.width), int(bottom * page.height))
    )
    return sum(cut.histogram()[:128]) / (cut.width * cut.height)
