"""Papers through HTTP: put on file by the volunteer, verified or declined by the coordinator, and what ends when."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.builders import World
from tests.sign_in import Visitor

CHECK = {"paper": "background-check", "issued": "2025-02-28"}


@pytest.fixture
def desk(world: World) -> World:
    """Give a world with a volunteer and a coordinator."""
    world.add_person("v-001", name="Odalys Brannagh")
    world.add_person("c-01", "coordinator")
    return world


def test_a_paper_from_the_volunteer_to_its_verification(desk: World, visitor: Callable[[str], Visitor]) -> None:
    """Put on file it waits; verified it is in force, cut at two years to the day."""
    volunteer, coordinator = visitor("v-001"), visitor("c-01")
    assert "0 of 2 are in force today" in volunteer.get("/papers").text
    assert volunteer.send("/papers", "/papers", **CHECK).status_code == 303
    assert "one waits to be verified" in volunteer.get("/papers").text
    assert "1 paper waits" in coordinator.get("/papers/waiting").text
    assert coordinator.send("/papers/1/verify", "/papers/1/verify").status_code == 303
    assert "0 papers wait" in coordinator.get("/papers/waiting").text
    page = volunteer.get("/papers").text
    assert "1 of 2 are in force today" in page
    assert "In force through Sun 28 Feb 2027" in page


def test_a_declined_paper_says_why_and_can_come_again(desk: World, visitor: Callable[[str], Visitor]) -> None:
    """The reason is asked for, and the volunteer reads it."""
    volunteer, coordinator = visitor("v-001"), visitor("c-01")
    volunteer.send("/papers", "/papers", **CHECK)
    assert coordinator.send("/papers/1/decline", "/papers/1/decline", reason="").status_code == 422
    reason = "The date cannot be read."
    assert coordinator.send("/papers/1/decline", "/papers/1/decline", reason=reason).status_code == 303
    assert f"Declined: {reason}" in volunteer.get("/papers").text
    assert volunteer.send("/papers", "/papers", **CHECK).status_code == 303


@pytest.mark.parametrize(
    ("changed", "says", "kept"),
    [
        ({"issued": ""}, "Write the day on which it was issued.", "background-check"),
        ({"issued": "2026-10-17"}, "still ahead", "2026-10-17"),
        ({"last_day": "2025-02-27"}, "before it was issued", "2025-02-27"),
        ({"issued": "yesterday"}, "is not a day", "yesterday"),
        ({"paper": ""}, "Choose which paper it is.", "2025-02-28"),
        ({"paper": "library-card"}, "Not a valid choice", "2025-02-28"),
    ],
)
def test_what_is_wrong_is_said_beside_the_field_and_what_was_typed_is_kept(
    desk: World, visitor: Callable[[str], Visitor], changed: dict[str, str], says: str, kept: str
) -> None:
    """And nothing waits."""
    volunteer = visitor("v-001")
    answer = volunteer.send("/papers", "/papers", **{**CHECK, **changed})
    assert answer.status_code == 422
    assert says in answer.text
    assert f'value="{kept}"' in answer.text
    assert "0 papers wait" in visitor("c-01").get("/papers/waiting").text


def test_the_coordinator_puts_one_on_file_and_verifies_it_in_one_step(
    desk: World, visitor: Callable[[str], Visitor]
) -> None:
    """With the paper in hand nobody wants to press twice; the other button leaves it waiting."""
    coordinator = visitor("c-01")
    page = "/papers/of/v-001"
    assert coordinator.send(page, page, **CHECK, then="verify").status_code == 303
    assert "1 of 2 are in force" in coordinator.get(page).text
    assert coordinator.send(page, page, paper="photo-choice", issued="2026-10-01").status_code == 303
    assert "1 paper waits" in coordinator.get("/papers/waiting").text
    back = coordinator.send("/papers/2/verify?back=volunteer", "/papers/2/verify")
    assert back.location == page
    again = coordinator.send(page, page, **CHECK)
    assert again.status_code == 422
    assert "on file already, and verified" in again.text


def test_a_volunteer_cannot_verify_by_sending_what_the_button_sends(
    desk: World, visitor: Callable[[str], Visitor]
) -> None:
    """The button is the coordinator's, and so is what it does."""
    volunteer = visitor("v-001")
    assert volunteer.send("/papers", "/papers", **CHECK, then="verify").status_code == 303
    assert "one waits to be verified" in volunteer.get("/papers").text


def test_a_paper_verified_twice_is_verified_once(desk: World, visitor: Callable[[str], Visitor]) -> None:
    """A stale page is answered with what happened."""
    visitor("v-001").send("/papers", "/papers", **CHECK)
    coordinator = visitor("c-01")
    stale = coordinator.get("/papers/1/verify").text
    assert coordinator.fill(stale, "/papers/1/verify").status_code == 303
    other = coordinator.fill(stale, "/papers/1/verify", once="of-another-page")
    assert other.status_code == 422
    assert "verified already" in other.text


@pytest.mark.parametrize("address", ["/papers/waiting", "/papers/of/v-001", "/papers/1/decline", "/papers/1/verify"])
def test_a_volunteer_sees_only_their_own(desk: World, visitor: Callable[[str], Visitor], address: str) -> None:
    """Permissions hold on the page, not only in the menu."""
    assert visitor("v-001").get(address).status_code == 403
