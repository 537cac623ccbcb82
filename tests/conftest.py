"""What all tests share: the order in which they run, and the PostgreSQL of this test run."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from mentor_training.application import create_app
from tests.builders import World, make_world
from tests.sign_in import Visitor

# A shared machine may be slow; a property does not fail for that.
settings.register_profile("shared", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("shared")

pytest_plugins = ["tests.storage.postgres"]

# Quick tests first, so that a broken rule is known in seconds; the browser, the slowest, last.
LATER = ("storage", "benchmarks", "demo", "journeys", "browser")
# What these folders set up for a whole run is dear: side by side, one process runs all of a folder.
TOGETHER = ("demo",)


def rank(parts: tuple[str, ...]) -> int:
    """Give the place of a test in the run by the folders of its path; a quick test is 0."""
    return max((LATER.index(part) + 1 for part in parts if part in LATER), default=0)


def group(parts: tuple[str, ...]) -> str:
    """Name what runs in one process where several run side by side: a file with its fixtures, or a whole folder."""
    return next((part for part in parts if part in TOGETHER), "/".join(parts))


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    parts = {item: item.path.relative_to(item.config.rootpath).parts for item in items}
    items.sort(key=lambda item: rank(parts[item]))
    for item in items:
        item.add_marker(pytest.mark.xdist_group(group(parts[item])))


@pytest.fixture
def world(tmp_path: Path) -> Iterator[World]:
    """Give an instance on a fresh SQLite database, with the small program published and nobody in it."""
    made = make_world(tmp_path / "instance")
    made.publish()
    yield made
    made.instance.database.close()


@pytest.fixture
def visitor(world: World) -> Callable[[str], Visitor]:
    """Give a way to have a person sign in; they must have been added to the world."""
    app = create_app(world.instance, testing=True)
    return lambda code: Visitor(app.test_client()).sign_in(code)
