"""A full gym on paper: its briefing and its session's page flow from sheet to sheet, none of them blank."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from mentor_training.planning.actions.closing_stations import close_station
from tests.browser.entering import sign_in
from tests.browser.serving import served
from tests.builders import make_world
from tests.outside.test_prints import text_of
from tests.planning.gym import gym
from tests.planning.saturday import COORDINATES

MOST_SHEETS = {"briefing": 8, "": 6}


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Serve the full gym: sixty participants, a station of it closed from block 3 on."""
    world = make_world(tmp_path_factory.mktemp("gym") / "instance")
    world.publish()
    gym(world)
    with world.writing() as db:
        close_station(db, world.clock.now(), COORDINATES, "s-11", "station-1", 3, "equipment")
    with served(world) as where:
        yield where
    world.instance.database.close()


@pytest.mark.parametrize("path", MOST_SHEETS)
def test_a_full_gym_flows_over_sheets_with_its_heads_repeated(
    browser: Browser, address: str, path: str, tmp_path: Path
) -> None:
    """Each sheet with rows of the floor says which block is when, no sheet is left blank, nothing is there to press."""
    page = sign_in(browser, address, 1280)
    page.goto(f"/sessions/s-11/{path}".rstrip("/"))
    printed = page.pdf(format="A4", prefer_css_page_size=True)
    page.context.close()
    sheets = text_of(printed, tmp_path).split("\f")[:-1]
    assert 1 < len(sheets) <= MOST_SHEETS[path]
    assert min(len(sheet.split()) for sheet in sheets) > 20
    with_rows = [sheet for sheet in sheets if "Lead " in sheet and " with " in sheet and "Block 4" in sheet]
    assert with_rows
    assert all("Block 1" in sheet and "Block 3" in sheet for sheet in with_rows)
    text = " ".join(" ".join(sheets).split())
    assert "Take out" not in text
    if path:
        assert "closed from block 3: the equipment is broken" in text
