"""Each of the four users signs in with a real browser and does what they come for, on a phone and at a desk."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from mentor_training.calendar.tables import Block, Expected, ProgramSession
from mentor_training.hours.actions import enter_session
from mentor_training.observing.tables import Standing
from tests.browser.axe import violations
from tests.browser.entering import fill_sign_in
from tests.browser.serving import served
from tests.builders import FRIDAY, NOON, World, make_world

WIDTHS = {"phone": (390, 844), "desk": (1280, 900)}


@pytest.fixture
def floor(tmp_path: Path) -> Iterator[World]:
    """Give an instance with one person of each role, a participant, and a session today."""
    world = make_world(tmp_path / "instance")
    world.publish()
    world.add_person("v-001", name="Odalys Brannagh", sections="KIN-372-A")
    world.add_person("v-002", name="Teodor Vance", sections="KIN-372-A")
    world.add_person("o-01", "observer", name="Sunniva Tallis")
    world.add_person("i-01", "course-instructor", name="Hadrian Mossop", sections="KIN-372-A")
    world.add_person("c-01", "coordinator", name="Wilhelmina Quarrie")
    world.add_participant("p-01", needs="fall-risk")
    world.hold("v-002", "paper/background-check", "module/safety@1", "skill/guarding", "card/p-01@1")
    add_session(world)
    yield world
    world.instance.database.close()


def add_session(world: World) -> None:
    """Add today's session, the observer's standing, and an hour served yesterday."""
    now = world.clock.now()
    starts, ends = NOON.astimezone(world.instance.settings.zone).time(), datetime(2026, 1, 1, 13, 30).time()  # noqa: DTZ001
    with world.writing() as db:
        db.add(
            ProgramSession(
                code="s-01", title="Friday noon", day=FRIDAY, starts=starts, ends=ends, recorded_at=now,
                stations=("balance-lane", "target-games"),
            )
        )  # fmt: skip
        db.flush()
        db.add(Block(session="s-01", number=1, starts=starts, ends=ends))
        people = (("volunteer", "v-001"), ("volunteer", "v-002"), ("observer", "o-01"), ("participant", "p-01"))
        db.add_all(Expected(session="s-01", kind=kind, code=code) for kind, code in people)
        for kind in ("calibrated", "entitled"):
            db.add(
                Standing(
                    observer="o-01", kind=kind, skill="*", first_day=FRIDAY - timedelta(days=30), last_day=None,
                    recorded_at=now, recorded_by="c-01",
                )
            )  # fmt: skip
        served_from = datetime(2026, 10, 15, 14, 0, tzinfo=UTC)
        enter_session(
            db,
            now,
            "c-01",
            "v-001",
            "s-00",
            FRIDAY - timedelta(days=1),
            served_from,
            served_from + timedelta(minutes=97),
        )


@pytest.fixture(params=WIDTHS)
def page(request: pytest.FixtureRequest, browser: Browser, floor: World) -> Iterator[Page]:
    """Give a page of each width, on the served instance."""
    width, height = WIDTHS[request.param]
    with served(floor) as address:
        context = browser.new_context(viewport={"width": width, "height": height}, base_url=address)
        yield context.new_page()
        context.close()


def sign_in(page: Page, code: str) -> None:
    """Sign in as a person does."""
    fill_sign_in(page, code)
    look(page)


def look(page: Page) -> None:
    """Hold the page at hand to what holds for every page: no axe finding in light or dark, nothing wider than it."""
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        assert violations(page) == [], f"{page.url} in {scheme}"
    page.emulate_media(color_scheme="light")
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"), f"{page.url} is too wide"


def sign_out(page: Page) -> None:
    """Sign out."""
    page.get_by_role("button", name="Sign out").click()
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()


def test_each_of_the_four_users_signs_in_and_does_what_they_come_for(page: Page) -> None:
    """The volunteer reads, the observer observes, the instructor approves, the coordinator places a mentor."""
    the_volunteer_reads_a_section_and_acknowledges_a_caution(page)
    the_observer_records_an_observation(page)
    the_course_instructor_approves_hours(page)
    the_coordinator_places_a_mentor(page)


def the_volunteer_reads_a_section_and_acknowledges_a_caution(page: Page) -> None:
    sign_in(page, "v-001")
    page.goto("/learn")
    look(page)
    page.get_by_role("link", name="Safety").first.click()
    look(page)
    page.goto("/learn/safety/read/hands")
    look(page)
    acknowledge = page.locator("form[action*='caution'] button")
    acknowledge.click()
    expect(page.locator("form[action*='caution'] button")).to_have_count(0)
    page.goto("/path")
    look(page)
    sign_out(page)


def the_observer_records_an_observation(page: Page) -> None:
    sign_in(page, "o-01")
    page.goto("/observe")
    look(page)
    page.get_by_role("link", name="Odalys Brannagh").first.click()
    look(page)
    page.goto("/observe/v-001/guarding")
    look(page)
    for number in range(1, 5):
        choose(page, f"mark_{number}", "done")
    choose(page, "live", "live")
    page.get_by_role("button", name=re.compile("Save")).first.click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Met")
    look(page)
    sign_out(page)


def choose(page: Page, name: str, value: str) -> None:
    """Choose a radio button; its target must be large enough for a thumb (44 by 44 px)."""
    button = page.locator(f"input[name='{name}'][value='{value}']")
    box = page.locator(f"label[for='{button.get_attribute('id')}']").bounding_box()
    assert box is not None
    assert box["height"] >= 44, f"{name} is {box['height']} px high"
    button.check(force=True)


def the_course_instructor_approves_hours(page: Page) -> None:
    sign_in(page, "i-01")
    page.goto("/hours/sections/KIN-372-A")
    look(page)
    page.get_by_role("button", name=re.compile("Approve")).first.click()
    expect(page.get_by_role("status").first).to_be_visible()
    look(page)
    sign_out(page)


def the_coordinator_places_a_mentor(page: Page) -> None:
    sign_in(page, "c-01")
    page.goto("/clearance")
    look(page)
    page.goto("/sessions/s-01")
    look(page)
    page.goto("/sessions/s-01/blocks/1/place?participant=p-01")
    look(page)
    page.locator("select[name='who']").select_option("balance-lane|v-002")
    page.locator("form[action$='/place'][method='post'] button[type='submit']").click()
    expect(page.get_by_text("Teodor Vance").first).to_be_visible()
    look(page)
    sign_out(page)
