"""Shadows: present, counted for nothing, touching nobody; and only who is allowed on the floor."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from mentor_training.clearance.actions import pause
from mentor_training.errors import Refused
from mentor_training.evidence.facts import STOOD_DOWN
from mentor_training.journal.queries import entries
from mentor_training.participants.actions import import_participants
from mentor_training.participants.roster import Row
from mentor_training.planning.actions.closing import close
from mentor_training.planning.actions.shadowing import end_shadow, shadow
from mentor_training.planning.queries.plan import closing_of, gaps_of, plan_for
from mentor_training.planning.queries.shadows import shadows_in
from tests.builders import FRIDAY, World
from tests.planning.saturday import COORDINATES, SATURDAY, ZONE, at, put
from tests.sign_in import Visitor

Sign = Callable[[str], Visitor]
PAGE = "/sessions/s-11/blocks/1/shadow"


def watch(world: World, who: str, station: str = "balance-lane", block: int = 1) -> None:
    with world.writing() as db:
        shadow(db, world.clock.now(), COORDINATES, "s-11", block, station, who)


def watching(world: World) -> list[tuple[int, str, str, bool]]:
    with world.reading() as db:
        found = shadows_in(db, plan_for(db, "s-11", world.clock.now()))
    return [(one.block, one.station, one.person, bool(one.reasons)) for one in found]


def test_a_shadow_is_noted_counts_for_nothing_and_is_ended(floor: World) -> None:
    """In one place per block: noted elsewhere, they go there; each is in the journal once."""
    for station in ("balance-lane", "balance-lane", "target-games"):
        watch(floor, "v-003", station)
    assert watching(floor) == [(1, "target-games", "v-003", False)]
    with floor.writing() as db:
        assert len(gaps_of(plan_for(db, "s-11", floor.clock.now()))) == 6
        assert len(entries(db, kind="shadows")) == 2
        end_shadow(db, floor.clock.now(), COORDINATES, "s-11", 1, "v-003")
    assert watching(floor) == []
    with pytest.raises(Refused, match="does not shadow in block 1"), floor.writing() as db:
        end_shadow(db, floor.clock.now(), COORDINATES, "s-11", 1, "v-003")


@pytest.mark.parametrize(
    ("who", "station", "block", "reason"),
    [
        ("v-004", "balance-lane", 1, "may not be on the floor at Balance lane"),
        ("v-002", "target-games", 1, "works at Balance lane in this block"),
        ("v-005", "target-games", 1, "are kept apart"),
        ("v-003", "pool", 1, "is not open in this session"),
        ("v-003", "balance-lane", 7, "has no block 7"),
        ("o-01", "balance-lane", 1, "is not expected at this session"),
    ],
)
def test_who_may_not_be_there_may_not_shadow_there(
    floor: World, who: str, station: str, block: int, reason: str
) -> None:
    """v-004 has not met the entry requirement; v-005 is kept apart from a participant who is there."""
    with floor.writing() as db:
        apart = [Row("p-02", "Name02", 1, (), ("v-005",), ())]
        import_participants(db, floor.clock.now(), COORDINATES, apart, FRIDAY, from_start=False)
    put(floor, 1, "balance-lane", "v-002", "p-01")
    put(floor, 1, "target-games", "v-006", "p-02")
    with pytest.raises(Refused) as no:
        watch(floor, who, station, block)
    assert reason in " ".join(no.value.reasons)
    assert watching(floor) == []


def test_whoever_is_placed_shadows_no_longer_and_whoever_is_stood_down_is_said(floor: World) -> None:
    """In that block; in another they go on."""
    watch(floor, "v-003")
    watch(floor, "v-003", block=2)
    put(floor, 1, "target-games", "v-003", "p-02")
    assert watching(floor) == [(2, "balance-lane", "v-003", False)]
    floor.clock.forward(minutes=1)
    with floor.writing() as db:
        pause(db, floor.clock.now(), COORDINATES, "v-003", STOOD_DOWN, "", SATURDAY, None, "A doubt.")
    floor.clock.forward(minutes=1)
    assert watching(floor) == [(2, "balance-lane", "v-003", True)]


def test_the_page_notes_and_ends_and_the_shadow_is_told_where(floor: World, visitor: Sign) -> None:
    """On their own page with what a shadow does; on the floor by the clock beside what is counted."""
    coordinator = visitor("c-01")
    refused = coordinator.send(PAGE, PAGE, who="v-004", station="balance-lane")
    assert refused.status_code == 422
    assert "may not be on the floor" in refused.text
    assert coordinator.send(PAGE, PAGE, who="", station="").status_code == 422
    assert coordinator.send(PAGE, PAGE, who="v-003", station="balance-lane").status_code == 303
    own = visitor("v-003").get("/pairing").text
    assert "You <strong>shadow</strong> at Balance lane" in own
    assert "Keep the lane dry." in own
    floor.clock.moment = at("09:55")
    assert "1 shadow (Person v-003, Balance lane)" in " ".join(coordinator.get("/sessions/s-11/now").text.split())
    assert coordinator.send(PAGE, f"{PAGE}/v-003/end").status_code == 303
    assert watching(floor) == []
    assert visitor("o-01").get(PAGE).status_code == 403


def test_briefing_sheets_and_wall_name_shadows_as_counted_for_nobody(floor: World, visitor: Sign) -> None:
    """By the same short names as mentors; no station opens by them, and who may not be there now is not on the wall."""
    put(floor, 1, "target-games", "v-002", "p-02")
    watch(floor, "v-003")
    floor.clock.moment = at("09:55")
    coordinator = visitor("c-01")

    def page(path: str) -> str:
        return " ".join(coordinator.get(f"/sessions/s-11/{path}").text.split())

    briefing = page("briefing")
    assert "They watch, count for nobody and touch nobody:" in briefing
    assert "<strong>Person v-003</strong>, block 1, Balance lane" in briefing
    assert '<span class="quiet">Only watches</span> Person v-003' in briefing
    for path in ("print", "stations/balance-lane"):
        assert '<span class="role">Only watches</span> Person v. v-003' in page(path)
        assert "Who only watches is not counted and touches nobody." in page(path)
    lane = page("wall").partition("Target games")[0]
    assert "Empty: nobody is placed" in lane
    assert "Only watching: Person v. v-003" in lane
    floor.clock.forward(minutes=1)
    with floor.writing() as db:
        pause(db, floor.clock.now(), COORDINATES, "v-003", STOOD_DOWN, "", SATURDAY, None, "A doubt.")
    floor.clock.forward(minutes=1)
    assert "Only watching" not in page("wall")
    assert "Person v. v-003 <strong" in page("print")


def test_the_floor_that_is_frozen_holds_who_watched(floor: World, visitor: Sign) -> None:
    """And its print says it."""
    watch(floor, "v-003")
    floor.clock.moment = at("11:20")
    with floor.writing() as db:
        close(db, floor.clock.now(), COORDINATES, "s-11", ZONE)
        closing = closing_of(db, "s-11")
        assert closing is not None
        frozen = closing.floor["shadows"]
    assert frozen == [{"block": 1, "station": "balance-lane", "person": "v-003", "reasons": []}]
    for path in ("", "/print"):
        assert "Only watches</span> Person v" in visitor("c-01").get(f"/sessions/s-11{path}").text


def test_who_shadows_now_stands_at_the_station_and_is_not_called_free(floor: World, visitor: Sign) -> None:
    """On the floor by the clock; in another block they are free."""
    watch(floor, "v-003")
    floor.clock.moment = at("09:55")
    page = " ".join(visitor("c-01").get("/sessions/s-11/now").text.split())
    assert '<span class="quiet">Only watches</span> Person v-003' in page
    assert "Person v-003" not in page.partition("Free in this block:")[2].partition("</p>")[0]
    floor.clock.moment = at("10:06")
    later = " ".join(visitor("c-01").get("/sessions/s-11/now").text.split())
    assert "Person v-003" in later.partition("Free in this block:")[2].partition("</p>")[0]
