"""The wall as a projector shows it, and the floor as a browser prints it, with sixty participants at six stations."""

from __future__ import annotations

import io
from collections.abc import Iterator

import pikepdf
import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.axe import violations
from tests.browser.entering import fill_sign_in
from tests.browser.serving import served
from tests.builders import make_world
from tests.planning.gym import gym
from tests.planning.saturday import at

SCREENS = [(1280, 720), (1920, 1080), (1024, 768)]
CUT_OFF = "all => all.filter(one => one.scrollHeight > one.clientHeight || one.scrollWidth > one.clientWidth).length"
HIGH = "() => document.documentElement.scrollHeight - window.innerHeight"


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Serve the full gym in its second block."""
    world = make_world(tmp_path_factory.mktemp("wall") / "instance")
    gym(world)
    world.clock.moment = at("10:20")
    with served(world) as found:
        yield found
    world.instance.database.close()


def opened(browser: Browser, address: str, width: int, height: int, scheme: str = "light") -> Page:
    """Sign the coordinator in on a screen of this size."""
    dark = scheme == "dark"
    context = browser.new_context(
        viewport={"width": width, "height": height}, base_url=address, color_scheme="dark" if dark else "light"
    )
    page = context.new_page()
    fill_sign_in(page, "c-01")
    return page


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize(("width", "height"), SCREENS)
def test_a_wall_of_six_stations_is_read_without_scrolling(
    browser: Browser, address: str, width: int, height: int, scheme: str
) -> None:
    """Nothing is cut off, letters are at least a fortieth of the screen high, and axe finds nothing."""
    page = opened(browser, address, width, height, scheme)
    page.goto("/sessions/s-11/wall?hold=1")
    expect(page.get_by_role("heading", level=2)).to_have_count(6)
    expect(page.get_by_text("Block 2 of 4, until 10:52. Next at 10:52.")).to_be_visible()
    assert page.evaluate(HIGH) == 0
    assert page.locator(".wall-spot").evaluate_all(CUT_OFF) == 0
    size = page.locator(".wall-spot p").last.evaluate("one => parseFloat(getComputedStyle(one).fontSize)")
    assert size >= height / 40 or width / height < 1.5
    assert violations(page) == []
    page.context.close()


@pytest.mark.parametrize("width", [390, 1280])
def test_a_wall_comes_again_by_itself_without_script(browser: Browser, address: str, width: int) -> None:
    """By the header alone; on a phone it is a page like others, no wider than the screen."""
    page = opened(browser, address, width, 720)
    answer = page.goto("/sessions/s-11/wall")
    assert answer is not None
    assert answer.headers["refresh"] == "20"
    assert page.evaluate("() => document.documentElement.scrollWidth") <= width
    page.context.close()


@pytest.mark.parametrize("sheet", ["A4", "Letter"])
@pytest.mark.parametrize("path", ["print", "stations/station-1"])
def test_a_browser_prints_the_floor_and_a_station_on_one_sheet_each(
    browser: Browser, address: str, path: str, sheet: str
) -> None:
    """The floor across, the station upright."""
    page = opened(browser, address, 1280, 900)
    page.goto(f"/sessions/s-11/{path}")
    assert violations(page) == []
    printed = page.pdf(format=sheet, prefer_css_page_size=True)
    with pikepdf.open(io.BytesIO(printed)) as paper:
        assert len(paper.pages) == 1
        width, height = (float(paper.pages[0].mediabox[side]) for side in (2, 3))
        assert (width > height) == (path == "print")
    page.context.close()
