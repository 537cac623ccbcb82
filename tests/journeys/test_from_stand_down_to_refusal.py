"""A volunteer is stood down after an incident: every screen knows at once, and the planner is refused."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from sqlalchemy import func, select

from mentor_training.planning.tables import Placement
from tests.builders import World
from tests.journeys.test_from_invitation_to_certificate import SESSIONS, upload
from tests.sign_in import Visitor

Sign = Callable[[str], Visitor]
PLACE = "/sessions/s-01/blocks/1/place"


@pytest.fixture
def floor(world: World, visitor: Sign) -> World:
    """Give tomorrow's session with one volunteer who is cleared for its participant."""
    world.add_person("c-01", "coordinator")
    world.add_person("v-001", name="Odalys Brannagh")
    for observer in ("o-01", "o-02"):
        world.add_person(observer, "observer")
    world.add_participant("p-01", needs="fall-risk")
    upload(visitor("c-01"), "/sessions", "/sessions/import", SESSIONS)
    world.hold("v-001", "paper/background-check", "module/safety@1", "skill/guarding", "card/p-01@1")
    return world


def placed(world: World) -> int:
    """Count what is placed."""
    with world.reading() as db:
        return db.scalar(select(func.count()).select_from(Placement)) or 0


def test_a_stand_down_makes_an_assignment_that_was_about_to_be_sent_a_refusal(floor: World, visitor: Sign) -> None:
    """The page with the choice was open before; the gate is asked again inside the storing transaction."""
    planner, coordinator = visitor("c-01"), visitor("c-01")
    open_page = planner.get(f"{PLACE}?participant=p-01").text
    assert "Odalys Brannagh, Independent" in open_page
    records = "/clearance/people/v-001"
    stood_down = coordinator.send(
        f"{records}/records",
        f"{records}/pause",
        kind="stood-down",
        scope="",
        reason="A fall on Tuesday.",
    )
    assert stood_down.status_code == 303
    answer = planner.fill(open_page, PLACE, who="balance-lane|v-001")
    assert answer.status_code == 422
    assert "stood down" in answer.text
    assert placed(floor) == 0
    assert "stood down" in coordinator.get(f"{records}/at/balance-lane").text
    assert "A fall on Tuesday" not in visitor("v-001").get(f"{records}/at/balance-lane").text


def test_lifted_the_same_assignment_goes_through(floor: World, visitor: Sign) -> None:
    """Only another record undoes a stand-down."""
    coordinator = visitor("c-01")
    records = "/clearance/people/v-001"
    coordinator.send(f"{records}/records", f"{records}/pause", kind="stood-down", scope="", reason="An incident.")
    page = coordinator.get(f"{records}/records").text
    lifting = re.findall(r'href="(/records/[^"]+)">Lift', page)[0]
    assert coordinator.send(lifting, lifting, reason="Talked it through; a plan is agreed.").status_code == 303
    answer = coordinator.send(f"{PLACE}?participant=p-01", PLACE, who="balance-lane|v-001")
    assert answer.status_code == 303
    assert placed(floor) == 1
