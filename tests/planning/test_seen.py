"""What a floor comes to is remembered, and never shown when anything that it rests on differs."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from mentor_training.evidence.actions import record
from mentor_training.planning.queries.plan import plan_for
from mentor_training.planning.queries.seen import Seen, floor_seen
from tests.builders import World
from tests.planning.saturday import SATURDAY, put
from tests.sign_in import Visitor

Sign = Callable[[str], Visitor]


def seen(world: World) -> Seen:
    """Return what the floor comes to, as the page asks for it."""
    with world.reading() as db:
        plan = plan_for(db, "s-11", world.clock.now())
        plan.gate.load_everybody()
        plan.gate.load_participants()
        return floor_seen(db, plan)


def stand_down(world: World) -> None:
    """Pause the one who is placed."""
    with world.writing() as db:
        record(db, world.clock.now(), "c-01", "v-002", "stood-down", "balance-lane", SATURDAY)


def place_another(world: World) -> None:
    put(world, 2, "target-games", "v-002", "p-02")


def add_a_need(world: World) -> None:
    world.add_participant("p-09")
    with world.writing() as db:
        db.connection().exec_driver_sql("UPDATE participant SET first_name = 'Imre' WHERE code = 'p-01'")


CHANGES: list[Callable[[World], None]] = [stand_down, place_another, add_a_need]


def test_the_same_floor_asked_twice_is_the_very_same(floor: World) -> None:
    """Nothing is worked out again."""
    put(floor, 1, "balance-lane", "v-002", "p-01")
    assert seen(floor) is seen(floor)


@pytest.mark.parametrize("change", CHANGES, ids=lambda one: one.__name__)
def test_after_any_change_it_is_as_if_nothing_had_been_remembered(
    floor: World, change: Callable[[World], None]
) -> None:
    """A new record, another placement, another name: equal to what is made without a memory."""
    put(floor, 1, "balance-lane", "v-002", "p-01")
    before = seen(floor)
    change(floor)
    after = seen(floor)
    floor.instance.database.remembered.clear()
    assert after == seen(floor)
    assert after != before


def test_who_was_stood_down_is_said_on_the_page_that_was_open_before(floor: World, visitor: Sign) -> None:
    """The table is drawn anew, and again when the record is withdrawn there is no trace of the memory."""
    put(floor, 1, "balance-lane", "v-002", "p-01")
    coordinator = visitor("c-01")
    assert "no longer cleared" not in coordinator.get("/sessions/s-11").text.partition('id="floor"')[2]
    stand_down(floor)
    assert "no longer cleared</span>" in coordinator.get("/sessions/s-11").text.partition('id="floor"')[2]
    assert "&lt;table" not in coordinator.get("/sessions/s-11").text
