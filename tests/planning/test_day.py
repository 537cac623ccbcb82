"""Checking people in and out, and closing: who came is evidence, and nothing changes afterwards."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

import pytest
from sqlalchemy import select

from mentor_training.calendar.actions import store_session
from mentor_training.calendar.rules import read_blocks
from mentor_training.clearance.actions import pause
from mentor_training.errors import Refused
from mentor_training.evidence.facts import ATTENDED, HOURS, PRACTICED, STOOD_DOWN
from mentor_training.evidence.queries import facts_of
from mentor_training.hours.actions import adjust, enter_by_hand, enter_session
from mentor_training.hours.tables import HoursEntry
from mentor_training.journal.queries import entries, find_break
from mentor_training.people.permissions import Actor
from mentor_training.planning.actions.closing import ELSEWHERE, FORGOTTEN, close
from mentor_training.planning.actions.coming import check_in, check_out, take_back
from mentor_training.planning.actions.placing import accept, place, remove
from mentor_training.planning.actions.sessions import save_session
from mentor_training.planning.queries.coming import came_to
from mentor_training.planning.queries.plan import closing_of, standing_in
from tests.builders import World
from tests.planning.saturday import COORDINATES, OBSERVES, SATURDAY, ZONE, at, put, session


def come(world: World, code: str, clock: str, kind: str = "volunteer", by: Actor = OBSERVES) -> None:
    with world.writing() as db:
        check_in(db, at(clock), by, "s-11", kind, code, ZONE)


def leave(world: World, code: str, clock: str, kind: str = "volunteer") -> None:
    with world.writing() as db:
        check_out(db, at(clock), OBSERVES, "s-11", kind, code, ZONE)


def close_at(world: World, clock: str) -> None:
    world.clock.moment = at(clock)
    with world.writing() as db:
        close(db, at(clock), COORDINATES, "s-11", ZONE)


def test_people_are_checked_in_once_and_leave_once(floor: World) -> None:
    """With the moments, and a journal entry for each."""
    come(floor, "v-001", "09:31")
    come(floor, "p-01", "09:40", "participant")
    with pytest.raises(Refused, match="v-001 was checked in already, at 09:31"):
        come(floor, "v-001", "09:50")
    leave(floor, "v-001", "11:02")
    with pytest.raises(Refused, match="checked out already, at 11:02"):
        leave(floor, "v-001", "11:10")
    with floor.reading() as db:
        came = came_to(db, "s-11")
        assert [entry.kind for entry in entries(db, subject="v-001", most=2)] == ["left", "came"]
    assert (came["volunteer", "v-001"].left_at, came["participant", "p-01"].left_at) == (at("11:02"), None)


@pytest.mark.parametrize(
    ("who", "kind", "moment", "reason"),
    [
        ("v-077", "volunteer", at("09:31"), "v-077 is not expected"),
        ("p-01", "volunteer", at("09:31"), "p-01 is not expected"),
        ("v-001", "guest", at("09:31"), "neither a participant nor a volunteer"),
        ("v-001", "volunteer", at("09:31", date(2026, 10, 16)), "is on Sat 17 Oct 2026"),
        ("v-001", "volunteer", at("11:15"), "The session ended at 11:15"),
    ],
)
def test_nobody_is_checked_in_who_is_not_expected_or_on_another_day(
    floor: World, who: str, kind: str, moment: datetime, reason: str
) -> None:
    """Nor after the session has ended."""
    with pytest.raises(Refused, match=reason), floor.writing() as db:
        check_in(db, moment, OBSERVES, "s-11", kind, who, ZONE)


def test_by_a_clock_that_went_backwards_nobody_leaves_before_they_came(floor: World) -> None:
    """Both times are said, and what can be done; nothing is noted."""
    come(floor, "v-001", "09:40")
    with pytest.raises(Refused, match="came at 09:40 EDT, and by the clock of this machine it is 09:25 EDT now"):
        leave(floor, "v-001", "09:25")
    with floor.reading() as db:
        assert came_to(db, "s-11")["volunteer", "v-001"].left_at is None


def test_only_observers_of_the_session_and_the_coordinator_check_in(floor: World) -> None:
    """Another observer does not."""
    other = replace(OBSERVES, code="o-02")
    with pytest.raises(Refused, match="Only the observers of session s-11"):
        come(floor, "v-001", "09:31", by=other)
    come(floor, "v-001", "09:31", by=COORDINATES)


def test_a_mistake_at_the_door_is_taken_back(floor: World) -> None:
    """First the leaving, then the coming; each is journaled."""
    come(floor, "v-001", "09:31")
    leave(floor, "v-001", "09:32")
    for left in (True, False):
        with floor.writing() as db:
            take_back(db, at("09:33"), OBSERVES, "s-11", "volunteer", "v-001", ZONE)
            assert (("volunteer", "v-001") in came_to(db, "s-11")) is left
    with floor.writing() as db, pytest.raises(Refused, match="has not been checked in"):
        take_back(db, at("09:34"), OBSERVES, "s-11", "volunteer", "v-001", ZONE)


def test_closing_makes_evidence_of_who_came_and_what_was_practiced(floor: World) -> None:
    """Attendance for who came, hours from coming to leaving, practice only where both of a pair were there."""
    put(floor, 1, "balance-lane", "v-001")
    put(floor, 1, "balance-lane", "v-003", "p-02")
    put(floor, 2, "balance-lane", "v-002", "p-01")
    put(floor, 2, "target-games", "v-006")
    for who in ("v-001", "v-002", "v-003"):
        come(floor, who, "09:35")
        leave(floor, who, "11:12")
    come(floor, "p-02", "09:45", "participant")
    close_at(floor, "11:20")
    with floor.reading() as db:
        kinds = (ATTENDED, PRACTICED, HOURS)
        facts = {
            who: [
                (fact.kind, fact.item, fact.first_day)
                for fact in facts_of(db, who, floor.clock.now(), kinds)
                if fact.first_day == date(2026, 10, 17)
            ]
            for who in ("v-001", "v-002", "v-003", "v-006")
        }
        hours = [(row.person, row.minutes, row.about, row.flag) for row in db.scalars(select(HoursEntry))]
        assert find_break(db) is None
    attended, practiced = ("attended", "s-11", date(2026, 10, 17)), ("practiced", "skill/guarding", date(2026, 10, 17))
    assert facts == {"v-001": [attended, practiced], "v-002": [attended], "v-003": [attended, practiced], "v-006": []}
    assert hours == [(who, 97, "s-11", "") for who in ("v-001", "v-002", "v-003")]


def test_a_forgotten_check_out_counts_to_the_end_and_is_flagged(floor: World) -> None:
    """09:35 to 11:15 are 100 minutes, with the flag that an approver sees."""
    come(floor, "v-001", "09:35")
    close_at(floor, "11:40")
    with floor.reading() as db:
        (entry,) = db.scalars(select(HoursEntry))
    assert (entry.minutes, entry.flag) == (100, FORGOTTEN)


def test_who_comes_after_a_block_has_ended_has_not_worked_in_it(floor: World) -> None:
    """Checked in at 10:04, after block 1: no practice; the same in block 2 counts."""
    put(floor, 1, "balance-lane", "v-002", "p-01")
    put(floor, 2, "balance-lane", "v-001", "p-02")
    for who in ("v-001", "v-002"):
        come(floor, who, "10:04")
    for who in ("p-01", "p-02"):
        come(floor, who, "09:40", "participant")
    close_at(floor, "11:20")
    with floor.reading() as db:
        found = {who: facts_of(db, who, floor.clock.now(), (PRACTICED,)) for who in ("v-001", "v-002")}
    assert {who: len(facts) for who, facts in found.items()} == {"v-001": 1, "v-002": 0}


def test_who_was_no_longer_cleared_has_practiced_nothing(floor: World) -> None:
    """A stand-down before the session leaves attendance, and no practice."""
    put(floor, 1, "balance-lane", "v-002", "p-01")
    with floor.writing() as db:
        pause(db, at("08:00"), COORDINATES, "v-002", STOOD_DOWN, "", date(2026, 10, 17), None, "A doubt.")
    come(floor, "v-002", "09:35")
    come(floor, "p-01", "09:35", "participant")
    close_at(floor, "11:20")
    with floor.reading() as db:
        kinds = [fact.kind for fact in facts_of(db, "v-002", floor.clock.now(), (PRACTICED, ATTENDED))]
        closing = closing_of(db, "s-11")
        assert closing is not None
        (frozen,) = closing.floor["placements"]
    assert kinds == [ATTENDED]
    assert (frozen["level_when_placed"], frozen["level"]) == (2, 0)
    assert "stood down" in frozen["lacking"][0]


def test_the_floor_as_it_ran_is_frozen_with_every_clearance(floor: World) -> None:
    """Codes only: who was where with whom, the level, the records behind it, who came, who did not."""
    put(floor, 1, "balance-lane", "v-002", "p-01")
    come(floor, "v-002", "09:35")
    close_at(floor, "11:20")
    with floor.reading() as db:
        closing = closing_of(db, "s-11")
        assert closing is not None
        told = closing.floor
        (entry,) = entries(db, kind="closed")
    (placed,) = told["placements"]
    assert (placed["mentor"], placed["participant"], placed["level"], placed["lacking"]) == ("v-002", "p-01", 2, [])
    assert placed["records"]
    assert told["came"][0]["code"] == "v-002"
    assert "p-01" in told["absent"]
    assert "Name01" not in str(told)
    assert '"floor":"sha256:' in entry.record


def test_a_session_is_closed_once_and_nothing_changes_afterwards(floor: World) -> None:
    """Neither closing, placing, taking out, proposing, checking in or out, nor the session itself."""
    row = put(floor, 1, "balance-lane", "v-002", "p-01")
    come(floor, "v-002", "09:35")
    close_at(floor, "11:20")
    now = at("11:21")
    acts = (
        lambda db: close(db, now, COORDINATES, "s-11", ZONE),
        lambda db: place(db, now, COORDINATES, "s-11", 2, "balance-lane", "v-002", "p-01"),
        lambda db: remove(db, now, COORDINATES, "s-11", row.id),
        lambda db: accept(db, now, COORDINATES, "s-11", ()),
        lambda db: check_in(db, now, COORDINATES, "s-11", "volunteer", "v-001", ZONE),
        lambda db: check_out(db, now, COORDINATES, "s-11", "volunteer", "v-002", ZONE),
        lambda db: take_back(db, now, COORDINATES, "s-11", "volunteer", "v-002", ZONE),
        lambda db: save_session(db, now, COORDINATES, replace(session(), title="Another")),
    )
    with floor.reading() as db:
        before = len(entries(db, most=10_000))
    for act in acts:
        with pytest.raises(Refused, match="was closed"), floor.writing() as db:
            act(db)
    with floor.reading() as db:
        assert len(entries(db, most=10_000)) == before
        assert [one.id for one in standing_in(db, "s-11")] == [row.id]


def test_a_session_is_not_closed_before_it_begins_nor_while_somebody_is_there(floor: World) -> None:
    """Once everybody has left, or once it has ended, it is."""
    with pytest.raises(Refused, match="has not begun; it starts on Sat 17 Oct 2026 at 09:30"):
        close_at(floor, "09:29")
    come(floor, "v-002", "09:35")
    with pytest.raises(Refused, match=r"runs until 11:15.*v-002"):
        close_at(floor, "10:30")
    leave(floor, "v-002", "10:40")
    close_at(floor, "10:45")


def test_who_goes_on_to_the_next_session_is_in_one_place_at_a_time_and_both_are_closed(floor: World) -> None:
    """A check-out that is forgotten or noted late ends, flagged, when they came to the other session."""
    eleven, noon = at("11:15").time(), at("12:15").time()
    following = replace(session("s-12"), starts=eleven, ends=noon, blocks=read_blocks("1", eleven, noon) or ())
    with floor.writing() as db:
        store_session(db, at("08:00"), COORDINATES, following)
    for code in ("v-002", "v-003"):
        come(floor, code, "09:35")
    with floor.writing() as db:
        for code in ("v-002", "v-003"):
            check_in(db, at("11:10"), OBSERVES, "s-12", "volunteer", code, ZONE)
    leave(floor, "v-003", "11:20")
    close_at(floor, "11:25")
    with floor.writing() as db:
        close(db, at("12:20"), COORDINATES, "s-12", ZONE)
    with floor.reading() as db:
        entered = db.scalars(select(HoursEntry).order_by(HoursEntry.about, HoursEntry.person))
        assert [(one.about, one.person, one.minutes, one.flag) for one in entered] == [
            ("s-11", "v-002", 95, ELSEWHERE), ("s-11", "v-003", 95, ELSEWHERE),
            ("s-12", "v-002", 65, FORGOTTEN), ("s-12", "v-003", 65, FORGOTTEN),
        ]  # fmt: skip


def test_an_overlapping_entry_that_was_taken_back_no_longer_stops_the_closing(floor: World) -> None:
    """Somebody who wrote preparation down for the time of a session keeps nobody from their hours for good."""
    come(floor, "v-002", "09:35")
    own = Actor("v-002", "Person v-002", frozenset({"volunteer"}))
    with floor.writing() as db:
        times = (at("10:00"), at("10:30"))
        row = enter_by_hand(db, at("10:40"), own, "v-002", "preparation", SATURDAY, *times, "Set up the lane.")
    with pytest.raises(Refused, match="an entry adjusted to 0 minutes is out of the way"):
        close_at(floor, "11:20")
    with floor.writing() as db:
        adjust(db, at("11:25"), COORDINATES, row.id, -30, "That was the session itself.")
    close_at(floor, "11:30")
    with pytest.raises(Refused, match=r"Entry 1, .*overlaps"), floor.writing() as db:
        adjust(db, at("11:35"), COORDINATES, row.id, 30, "Back again.")


def test_an_overlapping_entry_of_hours_stops_the_closing_whole(floor: World) -> None:
    """Nothing is stored, and the reason names the volunteer and the other entry."""
    come(floor, "v-002", "09:35")
    with floor.writing() as db:
        enter_session(db, at("09:00"), "c-01", "v-002", "s-10", date(2026, 10, 17), at("09:00"), at("09:50"))
    with pytest.raises(Refused, match=r"Person v-002: .*overlaps"):
        close_at(floor, "11:20")
    with floor.reading() as db:
        assert closing_of(db, "s-11") is None
        assert facts_of(db, "v-002", at("11:30"), (ATTENDED,)) == ()
