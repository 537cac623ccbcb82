"""The pages that answer questions about clearance, and those that change the program's files, in a real browser."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.axe import violations
from tests.browser.entering import sign_in
from tests.browser.serving import served
from tests.builders import World, make_world
from tests.planning.saturday import at, put, saturday
from tests.small_program import STATIONS, small_files

EDIT = "/program/files/edit/program/stations.toml"
PAGES = (
    "/clearance/lapses",
    "/clearance/lapses?days=400",
    "/clearance/who",
    "/clearance/who?station=balance-lane",
    "/clearance/who?station=balance-lane&participant=p-01",
    "/clearance/then",
    "/clearance/then?station=balance-lane&known_at=2026-10-01T09:00",
    "/clearance/people/v-004/at/balance-lane",
    "/program/files",
    EDIT,
    "/program/files/new?path=program/station.toml",
    "/program/files/remove/program/skills/guarding.md",
    "/program/editions",
    "/program/editions/2",
)


@pytest.fixture(scope="module")
def floor(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Serve the small Saturday with two editions, a paper that ends soon and a fault in a file; give its address."""
    world: World = make_world(tmp_path_factory.mktemp("clearance") / "instance")
    world.publish()
    saturday(world)
    world.clock.moment = at("08:40")
    put(world, 1, "balance-lane", "v-001", role="lead")
    changed = {**small_files(), "program/stations.toml": STATIONS.replace("capacity = 4", "capacity = 5")}
    world.publish(changed, effective=date(2026, 10, 30), number=2)
    world.hold("v-004", "paper/background-check", last_day=at("08:40").date() + timedelta(days=3))
    for path, text in changed.items():
        file = world.instance.settings.folder / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text.replace("leads = 0", "leeds = 0", 1), encoding="utf-8")
    with served(world) as address:
        yield address
    world.instance.database.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1280])
def test_a_page_has_no_findings_and_fits(browser: Browser, floor: str, width: int, scheme: str) -> None:
    """Axe finds nothing, and the page does not scroll sideways."""
    page = sign_in(browser, floor, width, scheme)
    for address in PAGES:
        page.goto(address)
        assert violations(page) == [], address
        assert page.evaluate("document.documentElement.scrollWidth") <= width, address
    page.context.close()


def test_each_line_of_a_file_stands_beside_its_number(browser: Browser, floor: str) -> None:
    """The number's line is as high as the text's, so that the last one stands where the last line does."""
    page = sign_in(browser, floor, 1280, "light")
    page.goto(EDIT)
    height = page.evaluate("parseFloat(getComputedStyle(document.querySelector('#text')).lineHeight)")
    numbers = page.locator(".line-numbers span").all()
    first, last = numbers[0].bounding_box(), numbers[-1].bounding_box()
    area = page.locator("#text").bounding_box()
    assert first is not None
    assert last is not None
    assert area is not None
    assert last["y"] - first["y"] == pytest.approx((len(numbers) - 1) * height, abs=1)
    assert 0 <= first["y"] - area["y"] <= 12
    assert page.locator("#text").evaluate("area => area.scrollHeight <= area.clientHeight + 20")
    marked = page.locator(".line-numbers .marked").first
    expect(marked).to_be_visible()
    page.get_by_role("link", name=f"Line {marked.inner_text()}").first.click()
    assert page.url.endswith(f"#line-{marked.inner_text()}")
    page.context.close()


def test_a_file_is_mended_with_the_keyboard_alone(browser: Browser, floor: str) -> None:
    """Type, check, write: what was found goes, and the file says so."""
    page = sign_in(browser, floor, 390, "light")
    page.goto("/program/files/edit/program/papers.toml")
    area = page.get_by_label("program/papers.toml")
    area.fill('[[paper]]\nslug = "background-check"\ntitel = "Background check"\n')
    page.get_by_role("button", name="Only check it").press("Enter")
    expect(page.get_by_text("Checked and not written yet")).to_be_visible()
    expect(page.get_by_text("did you mean title?").first).to_be_visible()
    page.get_by_label("program/papers.toml").fill('[[paper]]\nslug = "background-check"\ntitle = "Background check"\n')
    page.get_by_role("button", name="Write the file").press("Enter")
    expect(page.get_by_text("The file is written.")).to_be_visible()
    page.context.close()
