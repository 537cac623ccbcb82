"""Who could step in, on a coordinator's phone in the middle of a session, and at a desk."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, expect

from mentor_training.planning.actions.coming import check_in
from tests.browser.axe import violations
from tests.browser.entering import sign_in
from tests.browser.serving import served
from tests.builders import World, make_world
from tests.planning.saturday import COORDINATES, ZONE, at, put, saturday

COVER = "/sessions/s-11/blocks/1/cover"
PAGES = (
    COVER, f"{COVER}?participant=p-01", f"{COVER}?participant=p-03", f"{COVER}?station=balance-lane&role=lead",
    "/sessions/observe-next",
)  # fmt: skip
# WCAG 2.2, 2.5.5 (level AAA): 44 by 44 CSS pixels for what is pressed on the floor.
SMALL = """() => [...document.querySelectorAll('.big-targets .button, .big-targets button, .big-targets summary')]
  .filter((one) => one.offsetParent)
  .filter((one) => Math.min(one.getBoundingClientRect().height, one.getBoundingClientRect().width) < 44)
  .map((one) => one.outerHTML.slice(0, 90))"""


@pytest.fixture(scope="module")
def floor(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Serve the Saturday at 9:35 with a lead and a mentor placed, who has not come; give its address."""
    world: World = make_world(tmp_path_factory.mktemp("covering") / "instance")
    world.publish()
    saturday(world)
    for number in range(7, 15):
        world.add_person(f"v-0{number:02}")
    put(world, 1, "balance-lane", "v-001", role="lead")
    put(world, 1, "balance-lane", "v-002", "p-01")
    put(world, 1, "target-games", "v-006", "p-02")
    world.clock.moment = at("09:35")
    with world.writing() as db:
        for code in ("v-001", "v-003", "v-004", "v-005", "v-006"):
            check_in(db, world.clock.now(), COORDINATES, "s-11", "volunteer", code, ZONE)
        check_in(db, world.clock.now(), COORDINATES, "s-11", "participant", "p-01", ZONE)
    with served(world) as address:
        yield address
    world.instance.database.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1280])
def test_the_pages_have_no_findings_fit_and_can_be_pressed(
    browser: Browser, floor: str, width: int, scheme: str
) -> None:
    """Axe finds nothing, nothing scrolls sideways, and what is pressed is large enough for one hand."""
    page = sign_in(browser, floor, width, scheme)
    for address in PAGES:
        page.goto(address)
        assert violations(page) == [], address
        assert page.evaluate("document.documentElement.scrollWidth") <= width, address
        assert page.evaluate(SMALL) == [], address
    page.context.close()


def test_from_the_floor_it_is_four_taps_to_somebody_placed(browser: Browser, floor: str) -> None:
    """The session, who could step in, for whom, place: and the choice is made already."""
    page = sign_in(browser, floor, 390)
    page.goto("/sessions/s-11")
    page.get_by_role("link", name="Who could step in at 09:50").click()
    page.get_by_role("link", name="Who: A mentor for Name03").click()
    page.get_by_role("link", name="Place: Person v-003").click()
    expect(page.get_by_label("Volunteer")).to_have_value("balance-lane|v-003")
    page.get_by_role("button", name="Place").click()
    expect(page.get_by_text("Placed.")).to_be_visible()
    page.context.close()
