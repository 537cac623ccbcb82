"""What all tests share: the order in which they run, and the PostgreSQL of this test run."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from tempfile import mkdtemp

import pytest
from flask import Flask
from hypothesis import HealthCheck, settings
from jinja2 import FileSystemBytecodeCache

from mentor_training.application import create_app
from mentor_training.database.instance import Instance
from tests.builders import World, make_world
from tests.sign_in import Visitor

# A shared machine may be slow; a property does not fail for that.
settings.register_profile("shared", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("shared")

# To hang up all pages and to compile their templates takes longer than most tests.
APPLICATIONS: dict[str, Flask] = {}
Flask.jinja_options = {"bytecode_cache": FileSystemBytecodeCache(mkdtemp(prefix="mentor-training-"))}

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


def pages_of(instance: Instance) -> Flask:
    """Return an application that serves an instance: made once for a run, and then for the next with such settings."""
    settings = (instance.settings.folder / "settings.toml").read_text(encoding="utf-8")
    if settings not in APPLICATIONS:
        APPLICATIONS[settings] = create_app(instance, testing=True)
    APPLICATIONS[settings].extensions["instance"] = instance
    return APPLICATIONS[settings]


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
    app = pages_of(world.instance)
    return lambda code: Visitor(app.test_client()).sign_in(code)
