"""The board in a real browser: heads that stay, reasons one key away, filters that keep their place, and on paper."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.axe import violations
from tests.browser.entering import fill_sign_in
from tests.browser.serving import served
from tests.builders import World, make_world
from tests.small_program import small_files

MANY = 24
# What is left of a sheet on its side between margins of 14 mm, at 96 pixels an inch (CSS Values and Units, 5.2).
SHEETS = {"A4": (297 - 28) * 96 / 25.4, "Letter": (279.4 - 28) * 96 / 25.4}


def stations() -> str:
    """Return two dozen stations with names of some length."""
    one = '[[station]]\nslug = "place-{0:02}"\ntitle = "Balance and strength place {0}"\nactivities = ["a{0}"]\n'
    rungs = 'supervised = "module/safety"\nindependent = "skill/guarding"\nlead = "skill/leading"\n'
    return "".join(one.format(number) + rungs for number in range(MANY))


@pytest.fixture(scope="module")
def gym(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Serve forty volunteers by two dozen stations, some of whom lapse soon, and give the address."""
    world: World = make_world(tmp_path_factory.mktemp("board") / "instance")
    world.publish(small_files(program__stations_toml=stations(), program__needs_toml=""))
    world.add_person("c-01", "coordinator")
    for number in range(40):
        code = world.add_person(
            f"v-{number:03}", name=f"Volunteer Łęcka-{number}", sections=f"KIN-372-{'AB'[number % 2]}"
        )
        world.hold(code, "paper/background-check", last_day=date(2026, 10, 20) if number % 3 == 0 else None)
        world.hold(code, "module/safety@1", *(["skill/guarding"] if number % 2 else []))
    with served(world) as address:
        yield address
    world.instance.database.close()


@pytest.fixture
def page(browser: Browser, gym: str) -> Iterator[Page]:
    """Give the coordinator's page, signed in."""
    opened = browser.new_context(viewport={"width": 1280, "height": 900}, base_url=gym).new_page()
    fill_sign_in(opened, "c-01")
    yield opened
    opened.context.close()


@pytest.mark.parametrize("width", [390, 1280])
def test_a_board_of_two_dozen_stations_has_no_findings_and_scrolls_in_its_own_room(page: Page, width: int) -> None:
    """The page itself is no wider than the screen."""
    page.set_viewport_size({"width": width, "height": 900})
    page.goto("/clearance")
    assert violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_heads_and_names_stay_while_the_board_is_scrolled(page: Page) -> None:
    """Far down and far to the right, the station and the volunteer can still be read."""
    page.goto("/clearance")
    room = page.get_by_role("region", name="Volunteers by stations")
    room.evaluate("room => room.scrollTo(800, 600)")
    box, head = room.bounding_box(), page.locator("#board thead th").nth(14).bounding_box()
    name = page.locator("#board tbody th").nth(20).bounding_box()
    assert box is not None
    assert head is not None
    assert name is not None
    assert head["y"] == pytest.approx(box["y"], abs=2)
    assert name["x"] == pytest.approx(box["x"], abs=2)


def test_the_reasons_are_one_key_away_and_going_back_keeps_the_filters(page: Page) -> None:
    """Focus on a level, Enter; back, and the same rows stand there."""
    page.goto("/clearance")
    page.get_by_label("Section", exact=True).select_option("KIN-372-B")
    page.get_by_label("Lapses within days").fill("14")
    page.get_by_label("Lapses within days").press("Enter")
    expect(page.locator("#board tbody tr")).to_have_count(7)
    assert page.url.endswith("#everybody")
    cell = page.locator("#row-v-003 a.cell").first
    cell.focus()
    cell.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Volunteer Łęcka-3 at Balance and strength place 0")
    expect(page.get_by_text("through").first).to_be_visible()
    page.go_back()
    expect(page.locator("#board tbody tr")).to_have_count(7)
    expect(page.get_by_label("Lapses within days")).to_have_value("14")


def test_another_day_cannot_be_missed(page: Page) -> None:
    """A band across the page says which day and whose knowledge, in rust at its edge."""
    page.goto("/clearance?on=2026-10-21&known_at=2026-10-16T09:00")
    band = page.get_by_role("note", name="Another day is shown")
    expect(band).to_be_in_viewport()
    expect(band).to_contain_text("Wed 21 Oct 2026")
    expect(band).to_contain_text("as known on Fri 16 Oct 2026, 09:00")


@pytest.mark.parametrize("sheet", SHEETS)
def test_two_dozen_stations_fit_across_a_sheet_of_paper(page: Page, sheet: str) -> None:
    """On A4 and on Letter, on their side: every column is there, in words, and none runs off the edge."""
    width = int(SHEETS[sheet])
    page.set_viewport_size({"width": width, "height": 700})
    page.goto("/clearance")
    page.emulate_media(media="print")
    right = page.locator("#board thead th").last.evaluate("head => head.getBoundingClientRect().right")
    assert page.locator("#board thead th").count() == MANY + 2
    assert right <= width
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    words = page.locator("#board .level-2 .level-word").first
    assert words.evaluate("word => getComputedStyle(word, '::before').content") == '"ind."'
    expect(page.get_by_text("no: not yet; sup.: supervised; ind.: independent")).to_be_visible()
    expect(page.get_by_role("button", name="Show")).to_be_hidden()
