"""The briefing before the doors open, and the floor by the clock."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from mentor_training.clearance.actions import pause
from mentor_training.evidence.facts import STOOD_DOWN
from mentor_training.participants.actions import import_participants, write_card
from mentor_training.participants.roster import Row
from mentor_training.planning.actions.closing_stations import close_station
from mentor_training.planning.actions.coming import check_in, expect
from mentor_training.planning.queries.briefing import Ending, Unread, briefing_of
from mentor_training.planning.queries.plan import plan_for
from mentor_training.planning.queries.supervised import Supervised
from tests.builders import FRIDAY, World
from tests.planning.saturday import COORDINATES, SATURDAY, ZONE, at, put
from tests.sign_in import Visitor

Sign = Callable[[str], Visitor]
MISSING = ("be signed off for Guarding a balance task",)
BRIEFING, NOW = "/sessions/s-11/briefing", "/sessions/s-11/now"


@pytest.fixture
def led(floor: World) -> World:
    """Give the floor with v-003 supervised at the balance lane under v-001 in both blocks."""
    for block in (1, 2):
        put(floor, block, "balance-lane", "v-001")
        put(floor, block, "balance-lane", "v-003", "p-02")
    put(floor, 1, "target-games", "v-002", "p-01")
    put(floor, 2, "balance-lane", "v-002", "p-01")
    put(floor, 1, "arrival-desk", "v-005", role="duty")
    return floor


def text(page: str) -> str:
    return " ".join(page.split())


def test_the_briefing_says_who_works_supervised_under_whom_and_what_is_missing(led: World) -> None:
    """Once for a pair at a station, with its blocks; who is not placed is said as well."""
    with led.reading() as db:
        found = briefing_of(db, plan_for(db, "s-11", led.clock.now()), led.clock.now())
    assert found.supervised == (Supervised("v-003", "p-02", "balance-lane", (1, 2), ("v-001",), MISSING),)
    assert found.not_placed == ("v-004", "v-006")
    assert found.gaps == (((1, 2), ("p-03",)),)


def test_the_first_day_is_that_of_who_has_come_to_no_session_before(led: World) -> None:
    """v-006 attended three; nobody else has come yet."""
    with led.reading() as db:
        found = briefing_of(db, plan_for(db, "s-11", led.clock.now()), led.clock.now())
    assert found.first_day == ("v-001", "v-002", "v-003", "v-004", "v-005")


def test_a_card_changed_since_and_a_clearance_that_ends_today_are_said(led: World) -> None:
    """The card by who is placed with its participant; the clearance by station."""
    led.hold("v-005", "module/safety", last_day=SATURDAY)
    led.clock.forward(minutes=1)
    with led.writing() as db:
        now = led.clock.now()
        write_card(db, now, COORDINATES, "p-01", 1, date(2026, 10, 16), date(2027, 1, 31), "Stand on his left.")
        pause(db, now, COORDINATES, "v-003", STOOD_DOWN, "", SATURDAY, None, "A doubt.")
    led.clock.forward(minutes=1)
    with led.reading() as db:
        found = briefing_of(db, plan_for(db, "s-11", led.clock.now()), led.clock.now())
    assert found.unread == (Unread("p-01", ("v-002",)),)
    assert {one.standing.placed.mentor for one in found.fallen} == {"v-002", "v-003"}
    assert found.ending == ()


def test_a_clearance_that_ends_with_the_day_is_said_by_station(floor: World) -> None:
    """A paper of its own that holds through the session's day and no longer."""
    floor.add_person("v-007")
    floor.hold("v-007", "module/safety", "card/p-02@1")
    floor.hold("v-007", "paper/background-check", last_day=SATURDAY)
    with floor.writing() as db:
        expect(db, floor.clock.now(), COORDINATES, "s-11", "v-007")
    put(floor, 1, "target-games", "v-007", "p-02")
    with floor.reading() as db:
        found = briefing_of(db, plan_for(db, "s-11", floor.clock.now()), floor.clock.now())
    assert found.ending == (Ending("v-007", ("target-games",)),)


def test_the_briefing_page_names_no_need_and_no_text_of_a_card(led: World, visitor: Sign) -> None:
    """To an observer neither why a placement fell; another session's observer and a volunteer are not let in."""
    led.clock.forward(minutes=1)
    with led.writing() as db:
        now = led.clock.now()
        write_card(db, now, COORDINATES, "p-01", 1, date(2026, 10, 16), date(2027, 1, 31), "Stand on his left.")
        pause(db, now, COORDINATES, "v-003", STOOD_DOWN, "", SATURDAY, None, "A doubt.")
    led.clock.forward(minutes=1)
    page = text(visitor("o-01").get(BRIEFING).text)
    assert "The card of <strong>Name01</strong>, in its latest version: Person v-002" in page
    assert "Keep the lane dry." in page
    for word in ("fall-risk", "Fall risk", "Stand on his left", "arm&#39;s reach", "stood down", "A doubt"):
        assert word not in page
    assert "stood down" in visitor("c-01").get(BRIEFING).text
    for code in ("o-02", "v-001"):
        assert visitor(code).get(BRIEFING).status_code == 403
        assert visitor(code).get(NOW).status_code == 403


def test_a_lead_sees_who_works_supervised_under_them_and_why(led: World, visitor: Sign) -> None:
    """On their own page, two days before at the earliest; nobody else does."""
    page = text(visitor("v-001").get("/pairing").text)
    assert "<strong>Person v-003</strong> with Name02. For independent: be signed off for Guarding" in page
    assert "work supervised, within your sight" not in visitor("v-002").get("/pairing").text
    led.clock.moment = at("12:00", date(2026, 10, 14))
    assert "Person v-003" not in visitor("v-001").get("/pairing").text


def test_a_lead_is_not_told_of_a_participant_from_whom_they_are_kept_apart(led: World, visitor: Sign) -> None:
    """The volunteer is still theirs to watch."""
    with led.writing() as db:
        row = Row("p-02", "Name02", 1, (), ("v-001",), ())
        import_participants(db, led.clock.now(), COORDINATES, [row], FRIDAY, from_start=False)
    page = text(visitor("v-001").get("/pairing").text)
    assert "<strong>Person v-003</strong>. For independent" in page
    assert "Name02" not in page


@pytest.mark.parametrize(
    ("clock", "words"),
    [
        ("09:00", ["Next: block 1", "It is Sat 17 Oct 2026, 09:00. The first block begins"]),
        (
            "09:55",
            ["Now: block 1", "Block 1 runs until 10:02; the next begins at 10:05.", "What changes next: block 2"],
        ),
        ("10:03", ["Next: block 2", "Between two blocks; the next begins at 10:05."]),
        ("10:06", ["Now: block 2", "it is the last.", "No block comes after this one."]),
        ("10:17", ["All blocks are over", "Every block is over."]),
    ],
)
def test_the_floor_by_the_clock_says_now_next_and_later(
    led: World, visitor: Sign, clock: str, words: list[str]
) -> None:
    """By the program's own clock, and not the phone's."""
    led.clock.moment = at(clock)
    page = text(visitor("o-01").get(NOW).text)
    assert [word for word in words if word not in page] == []


def test_now_says_who_moves_and_what_is_not_counted(led: World, visitor: Sign) -> None:
    """From where to where; leads and duties beside the mentors; who has not come is said."""
    led.clock.moment = at("09:55")
    with led.writing() as db:
        check_in(db, led.clock.now(), COORDINATES, "s-11", "volunteer", "v-001", ZONE)
    page = text(visitor("c-01").get(NOW).text)
    assert "<strong>Person v-002</strong>: from Target games with Name01 to Balance lane with Name01" in page
    assert "<strong>Name01</strong>: from Target games to Balance lane" in page
    assert "<strong>Person v-005</strong>: from Arrival desk, on duty to no place" in page
    assert "Counted: 2 participants with 2 mentors, 1 of them supervised." in page
    assert "1 lead, who answers for a station; 1 on duty, Arrival desk; 0 shadows." in page
    assert "not here yet" in page


def test_who_stands_at_a_closed_station_is_said_with_its_closing_and_nowhere_else(led: World, visitor: Sign) -> None:
    """They work with nobody there, so that they are neither supervised nor called cleared no longer."""
    with led.writing() as db:
        close_station(db, led.clock.now(), COORDINATES, "s-11", "balance-lane", 1, "place")
    with led.reading() as db:
        found = briefing_of(db, plan_for(db, "s-11", led.clock.now()), led.clock.now())
    (spell,) = found.closed
    assert set(found.standing_at(spell)) == {"v-001", "v-002", "v-003"}
    assert (found.supervised, found.fallen_elsewhere) == ((), ())
    page = text(visitor("c-01").get(BRIEFING).text)
    assert "closed from block 1: the place cannot be used. Still placed there, and working with nobody:" in page
    assert "no longer cleared" not in page
    session = text(visitor("c-01").get("/sessions/s-11").text)
    assert "Mend the plan for those who are placed at a closed station" in session
    assert "no longer cleared" not in session
