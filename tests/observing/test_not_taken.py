"""What a phone sends and the program does not take comes back with every reason, and nothing of it is stored."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest

from mentor_training.clearance.actions import lift
from mentor_training.people.actions import set_conflicts
from mentor_training.people.permissions import CONSOLE
from mentor_training.people.queries import actor_of, person_for
from tests.builders import FRIDAY, World
from tests.observing.floor import add_session
from tests.observing.phone import SEND, refused, rows, send, stand_down, token_of, written
from tests.sign_in import Visitor
from tests.small_program import GUARDING, small_files


@pytest.fixture
def observer(floor: World, visitor: Callable[[str], Visitor]) -> Visitor:
    """Give the first observer, signed in."""
    return visitor("o-01")


def test_a_skill_that_was_withdrawn_is_refused_with_the_reason(floor: World, observer: Visitor) -> None:
    """Nothing of it is stored."""
    assert "withdrawn" in refused(observer, skill="greeting")
    assert rows(floor) == []


def test_criteria_that_changed_meanwhile_are_said(floor: World, observer: Visitor) -> None:
    """The marks would stand beside other words than those that were marked."""
    text = GUARDING.replace("Talks calmly.", "Talks calmly and little.")
    floor.publish({**small_files(), "program/skills/guarding.md": text}, number=2)
    assert "other criteria were in force" in refused(observer)


def test_whom_one_may_not_observe_is_refused_with_the_reason(floor: World, observer: Visitor) -> None:
    """On the conflict list; of no session of one's own; not there at all."""
    with floor.writing() as db:
        set_conflicts(db, floor.clock.now(), actor_of(person_for(db, "c-01")), "o-01", ("v-001",))
    assert "conflict list" in refused(observer)
    floor.add_person("v-002")
    add_session(floor, "s-01", FRIDAY, volunteers="v-001", observers="o-01")
    assert "no volunteer of your sessions" in refused(observer, person="v-002")
    assert "no volunteer v-099" in refused(observer, person="v-099")
    assert rows(floor) == []


def test_whom_one_could_see_on_that_day_is_taken_the_day_after(floor: World, observer: Visitor) -> None:
    """Yesterday's session was today's when the observation was made."""
    floor.add_person("v-002")
    add_session(floor, "s-01", FRIDAY + timedelta(days=7), volunteers="v-001", observers="o-01")
    add_session(floor, "s-02", FRIDAY, volunteers="v-002")
    floor.clock.forward(days=1)
    assert send(observer, person="v-002").status_code == 201


@pytest.mark.parametrize(
    ("scope", "station", "is_taken"),
    [
        ("", "", False),
        ("balance-lane", "balance-lane", False),
        ("activity/stepping", "balance-lane", False),
        ("activity/throwing", "balance-lane", True),
        ("target-games", "balance-lane", True),
        ("balance-lane", "", True),
    ],
)
def test_a_stand_down_that_the_phone_did_not_know_of_is_shown_first(
    floor: World, observer: Visitor, scope: str, station: str, is_taken: bool
) -> None:
    """By what it is from; without the reason that was written for the coordinator."""
    stand_down(floor, scope)
    if is_taken:
        assert send(observer, station=station).status_code == 201
    else:
        reasons = refused(observer, station=station)
        assert reasons.startswith("Stood down from Fri 16 Oct 2026 on, from ")
        assert "Left the lane" not in reasons


def test_sent_again_knowingly_or_once_it_is_lifted_it_is_taken(floor: World, observer: Visitor) -> None:
    """What has to be shown again during a stand-down must be seen by somebody."""
    code = stand_down(floor)
    known = floor.clock.now().isoformat()
    assert send(observer, known_at=known).status_code == 201
    with floor.writing() as db:
        lift(db, floor.clock.now(), CONSOLE, code, FRIDAY, "A mix-up.")
    assert send(observer, key="k-2").status_code == 201


def test_what_was_stopped_for_safety_is_taken_whatever_came_after(floor: World, observer: Visitor) -> None:
    """It may well be why the volunteer was stood down."""
    stand_down(floor)
    marks = [{"mark": "stopped", "way": ""}, *written()["marks"][1:]]
    answer = send(observer, marks=marks)
    assert (answer.status_code, answer.get_json()["result"]) == (201, "not-yet")


@pytest.mark.parametrize(
    ("changed", "reason"),
    [
        ({"day": "yesterday"}, "`day` is not a day"),
        ({"day": "2026-10-17"}, "still ahead"),
        ({"made_at": "2026-10-16T15:20:00"}, "`made_at` is not a moment"),
        ({"device_now": None}, "`device_now` is not a text"),
        ({"live": "yes"}, "`live` is not true or false"),
        ({"edition": True}, "`edition` is not a whole number"),
        ({"marks": []}, "Criterion 1: Mark this one too"),
        ({"marks": {"1": "done"}}, "`marks` is not a list"),
        ({"marks": ["done"] * 4}, "Mark 1 is not an object"),
        ({"marks": [{"mark": "all", "way": ""}] * 4}, "'all' is no mark"),
        ({"marks": [{"mark": "another-way", "way": " "}] * 4}, "Say which other way"),
        ({"remark": "a\0b"}, "cannot be stored"),
        ({"remark": "a" * 2001}, "2001 characters"),
        ({"key": ""}, "1 to 64 characters"),
        ({"station": "moon"}, "no station 'moon'"),
        ({"participant": "p-99"}, "no participant 'p-99'"),
    ],
)
def test_what_cannot_be_read_or_is_wrong_is_refused_with_the_reason(
    floor: World, observer: Visitor, changed: dict[str, Any], reason: str
) -> None:
    """Never a page, never a failure of the program, and nothing is stored."""
    assert reason in refused(observer, **changed)
    assert rows(floor) == []


def test_what_is_no_observation_at_all_is_refused(floor: World, observer: Visitor) -> None:
    """Neither a list nor half a text brings the program down."""
    headers = {"X-CSRFToken": token_of(observer), "Content-Type": "application/json"}
    for body in ("[]", "{", "7", "[" * 100_000):
        answer = observer.client.post(SEND, data=body, headers=headers)
        assert (answer.status_code, answer.get_json()["status"]) == (422, "rejected")
