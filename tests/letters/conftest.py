"""What the tests of mail stand on."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.builders import World
from tests.letters.friday import saturday_in


@pytest.fixture
def friday(tmp_path: Path) -> Iterator[World]:
    """Give the day before a session: a card to read, a paper that ends, hours to approve."""
    world = saturday_in(tmp_path / "instance")
    yield world
    world.instance.database.close()
