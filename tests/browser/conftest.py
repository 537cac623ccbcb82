"""The browser of the tests: the machine's Chromium, or the one that Playwright fetched; and a floor to observe on."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Playwright, expect

from mentor_training.system_packages import CHROMIUM, how_to_install, program_path
from tests.browser.phone import fill_floor
from tests.builders import World, make_world
from tests.missing import give_up

# No sandbox: tests run as root in containers, and only ever open pages of our own. The rest keeps the browser off
# the network and away from the graphics card.
ARGUMENTS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
)

# A machine on which much else runs is slow; what never comes is missed in any time.
expect.set_options(timeout=15_000)


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any], playwright: Playwright) -> dict[str, Any]:
    """Tell pytest-playwright which browser to start, and how."""
    executable = program_path(CHROMIUM.programs)
    if executable is None and not Path(playwright.chromium.executable_path).exists():
        give_up(how_to_install("A browser", [CHROMIUM]))
    chosen = {"executable_path": executable} if executable else {}
    return {**browser_type_launch_args, **chosen, "args": list(ARGUMENTS)}


@pytest.fixture
def floor(tmp_path: Path) -> Iterator[World]:
    """Give an instance with a floor to observe on."""
    world = make_world(tmp_path / "instance")
    fill_floor(world)
    yield world
    world.instance.database.close()
