"""What the tests of the program share: an instance without an edition, and files on its disk."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

import pytest

from tests.builders import World, make_world
from tests.small_program import small_files

Put = Callable[[Mapping[str, str]], None]


@pytest.fixture
def empty_world(tmp_path: Path) -> Iterator[World]:
    """Give an instance in which nothing is published."""
    made = make_world(tmp_path / "empty")
    yield made
    made.instance.database.close()


@pytest.fixture
def put(world: World) -> Put:
    """Give a way to put files on the instance's disk; the small program's lie there already."""

    def write(files: Mapping[str, str]) -> None:
        for path, text in files.items():
            file = world.instance.settings.folder / path
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(text, encoding="utf-8")

    write(small_files())
    return write
