"""Numbers in addresses."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.builders import World
from tests.sign_in import Visitor


@pytest.mark.parametrize("number", ["99999999999999999999", "2147483648"])
def test_a_number_that_no_database_holds_leads_to_no_page(
    world: World, visitor: Callable[[str], Visitor], number: str
) -> None:
    """It is not found, and nothing breaks."""
    world.add_person("c-01", "coordinator")
    assert visitor("c-01").get(f"/reviews/{number}").status_code == 404
