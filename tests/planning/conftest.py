"""What the tests of plans share."""

from __future__ import annotations

import pytest

from tests.builders import World
from tests.planning.saturday import saturday


@pytest.fixture
def floor(world: World) -> World:
    """Give a world with the small Saturday in it."""
    return saturday(world)
