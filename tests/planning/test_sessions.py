"""Making and changing sessions: their plan and who came hold a change back."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from mentor_training.calendar.queries import session_for
from mentor_training.calendar.rules import SessionFact
from mentor_training.errors import Refused
from mentor_training.participants.actions import write_card
from mentor_training.planning.actions.coming import check_in
from mentor_training.planning.actions.sessions import import_sessions, save_session
from tests.builders import World
from tests.planning.saturday import COORDINATES, OBSERVES, PARTICIPANTS, VOLUNTEERS, ZONE, at, put, session


def save(world: World, changed: SessionFact) -> bool:
    with world.writing() as db:
        return save_session(db, world.clock.now(), COORDINATES, changed)


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"blocks": session().blocks[:1]}, "The session has no block 2"),
        ({"stations": ("target-games",)}, "balance-lane is not open in this session"),
        ({"volunteers": VOLUNTEERS[3:]}, "Person v-002 is not expected"),
        ({"participants": PARTICIPANTS[1:]}, "Name01 is not expected"),
        ({"day": date(2028, 9, 2)}, "Person v-002 is not cleared for Balance lane with Name01"),
    ],
)
def test_a_session_is_not_changed_under_its_plan(floor: World, change: dict[str, object], reason: str) -> None:
    """Who is placed is taken out first; nothing of the change is stored."""
    put(floor, 2, "balance-lane", "v-002", "p-01")
    with floor.reading() as db:
        before = session_for(db, "s-11")
    with pytest.raises(Refused, match=reason):
        save(floor, replace(before, **change))  # type: ignore[arg-type]
    with floor.reading() as db:
        assert session_for(db, "s-11") == before


def test_what_the_plan_does_not_touch_may_change(floor: World) -> None:
    """Title, later times, somebody more: stored; the same again changes nothing."""
    put(floor, 2, "balance-lane", "v-002", "p-01")
    floor.add_person("v-008")
    changed = replace(session(), title="Week 6, moved indoors", volunteers=(*VOLUNTEERS, "v-008"))
    assert (save(floor, changed), save(floor, changed)) == (True, False)


def test_a_fault_that_the_plan_had_before_holds_no_other_change_back(floor: World) -> None:
    """A card that was rewritten meanwhile is a matter of its own."""
    put(floor, 2, "balance-lane", "v-002", "p-01")
    floor.clock.forward(minutes=1)
    with floor.writing() as db:
        write_card(db, floor.clock.now(), COORDINATES, "p-01", 1, date(2026, 10, 16), date(2027, 1, 31), "Left side.")
    floor.clock.forward(minutes=1)
    assert save(floor, replace(session(), title="Week 6, moved indoors"))


def test_who_was_checked_in_stays_expected_and_the_day_stays(floor: World) -> None:
    """Both reasons at once."""
    with floor.writing() as db:
        check_in(db, at("09:31"), OBSERVES, "s-11", "volunteer", "v-006", ZONE)
    with pytest.raises(Refused) as no:
        save(floor, replace(session(), day=date(2026, 10, 24), volunteers=VOLUNTEERS[:5]))
    assert no.value.reasons == (
        "v-006 was checked in already and stays expected.", "People were checked in already, so the day stays.",
    )  # fmt: skip


def test_an_import_stores_all_sessions_or_none_and_tells_every_reason(floor: World) -> None:
    """A new session beside one that its plan holds back is not stored either."""
    put(floor, 2, "balance-lane", "v-002", "p-01")
    both = [session("s-12", date(2026, 10, 20)), replace(session(), participants=("p-02",))]
    with pytest.raises(Refused, match="s-11: "), floor.writing() as db:
        import_sessions(db, floor.clock.now(), COORDINATES, both)
    with floor.writing() as db:
        assert import_sessions(db, floor.clock.now(), COORDINATES, [both[0], session()]) == 1
        assert import_sessions(db, floor.clock.now(), COORDINATES, [both[0], session()]) == 0
