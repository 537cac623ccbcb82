"""Sends observations as the script of the floor page does."""

from __future__ import annotations

from datetime import date
from typing import Any

from sqlalchemy import select
from werkzeug.test import TestResponse

from mentor_training.clearance.actions import pause
from mentor_training.evidence.facts import STOOD_DOWN
from mentor_training.observing.tables import Observation
from mentor_training.people.permissions import CONSOLE
from tests.builders import FRIDAY, World
from tests.sign_in import Visitor

SEND = "/observe/floor/send"


def written(**changed: Any) -> dict[str, Any]:
    """Write an observation as the phone's script does."""
    return {
        "observer": "o-01", "key": "k-1", "person": "v-001", "skill": "guarding", "day": "2026-10-16",
        "made_at": "2026-10-16T15:20:00.000Z", "device_now": "2026-10-16T16:00:00.000Z",
        "known_at": "2026-10-16T16:00:00+00:00", "live": True, "station": "balance-lane", "participant": "",
        "remark": "", "edition": 1, "marks": [{"mark": "done", "way": ""}] * 4, **changed,
    }  # fmt: skip


def token_of(visitor: Visitor) -> str:
    """Fetch a fresh token, as the phone does before it sends."""
    return str(visitor.get("/observe/floor/token").get_json()["token"])


def send(visitor: Visitor, token: str = "", **changed: Any) -> TestResponse:
    """Send an observation."""
    return visitor.client.post(SEND, json=written(**changed), headers={"X-CSRFToken": token or token_of(visitor)})


def refused(visitor: Visitor, **changed: Any) -> str:
    """Send one that is not taken, and return the reasons."""
    answer = send(visitor, **changed)
    assert (answer.status_code, answer.get_json()["status"]) == (422, "rejected"), answer.text
    return " ".join(answer.get_json()["reasons"])


def rows(world: World) -> list[Observation]:
    """Return what is stored."""
    with world.reading() as db:
        return list(db.scalars(select(Observation).order_by(Observation.id)))


def stand_down(world: World, scope: str = "", after: int = 60, first_day: date = FRIDAY) -> str:
    """Stand the volunteer down a minute later."""
    world.clock.forward(seconds=after)
    with world.writing() as db:
        return pause(db, world.clock.now(), CONSOLE, "v-001", STOOD_DOWN, scope, first_day, None, "Left the lane.").code
