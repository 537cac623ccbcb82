"""The floor that the tests of observing stand on."""

from __future__ import annotations

import pytest

from tests.builders import World
from tests.observing.floor import add_observer


@pytest.fixture
def floor(world: World) -> World:
    """Give a world with a volunteer, two observers who count, and the coordinator."""
    world.add_person("v-001", name="Odalys Brannagh")
    add_observer(world, "o-01")
    add_observer(world, "o-02")
    world.add_person("c-01", "coordinator")
    return world
