"""What a phone's queue sends is stored once whatever the retries, with the day it was made, and as nobody else's."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import func, select

from mentor_training.journal.queries import find_break
from mentor_training.observing.tables import Observation
from tests.builders import FRIDAY, NOON, World
from tests.observing.floor import add_observer
from tests.observing.phone import SEND, refused, rows, send, stand_down, token_of, written
from tests.sign_in import Visitor


@pytest.fixture
def observer(floor: World, visitor: Callable[[str], Visitor]) -> Visitor:
    """Give the first observer, signed in."""
    return visitor("o-01")


def test_it_counts_with_the_day_it_was_made_and_is_recorded_when_it_arrives(floor: World, observer: Visitor) -> None:
    """The moment by the phone's clock, and how far that clock is ahead, are kept with it and in the journal."""
    floor.clock.forward(days=2)
    answer = send(observer, device_now="2026-10-18T16:03:20.000Z")
    assert answer.status_code == 201
    assert answer.get_json() == {
        "key": "k-1", "number": 1, "result": "met", "status": "stored", "words": "Met. It counts.",
    }  # fmt: skip
    [row] = rows(floor)
    assert (row.day, row.recorded_at) == (FRIDAY, NOON + timedelta(days=2))
    assert (row.made_at, row.clock_seconds) == (datetime(2026, 10, 16, 15, 20, tzinfo=UTC), 200)
    with floor.reading() as db:
        assert find_break(db) is None


def test_the_same_again_gets_the_same_answer_and_is_stored_once(floor: World, observer: Visitor) -> None:
    """However often, and whatever the phone's clock says by then."""
    first = send(observer)
    again = [send(observer, device_now="2026-10-16T17:00:00Z") for _ in range(3)]
    assert {answer.status_code for answer in again} == {200}
    assert all(answer.get_json() == first.get_json() for answer in again)
    assert len(rows(floor)) == 1


def test_the_same_again_is_answered_though_it_would_be_refused_today(floor: World, observer: Visitor) -> None:
    """The answer was lost, then the volunteer was stood down: what is stored is stored."""
    send(observer)
    stand_down(floor)
    assert send(observer).status_code == 200


def test_late_ones_are_kept_and_not_counted(floor: World, observer: Visitor) -> None:
    """By the day on which they were made; the answer says why."""
    floor.clock.forward(days=8)
    assert (
        send(observer).get_json()["words"]
        == "Not counted. It is kept and shown. It was entered more than 7 days after its day."
    )


def test_another_observers_queue_is_never_sent_as_ones_own(floor: World, visitor: Callable[[str], Visitor]) -> None:
    """The queue is bound to its observer, and the program asks again; it stays on the phone."""
    answer = send(visitor("o-02"))
    assert (answer.status_code, answer.get_json()["status"], answer.get_json()["observer"]) == (
        409,
        "other-observer",
        "o-02",
    )
    assert rows(floor) == []


def test_another_observers_key_is_refused(floor: World, visitor: Callable[[str], Visitor]) -> None:
    """And tells nothing of what is stored under it."""
    send(visitor("o-01"))
    reasons = refused(visitor("o-02"), observer="o-02")
    assert reasons.startswith("Another observation was stored under this key already")
    assert len(rows(floor)) == 1


def test_a_stale_token_stores_nothing_and_a_fresh_one_does(floor: World, visitor: Callable[[str], Visitor]) -> None:
    """A page that was open since before the last signing in holds a token of another session."""
    old = token_of(visitor("o-01"))
    observer = visitor("o-01")
    observer.client.delete_cookie("session")
    observer.sign_in("o-01")
    assert send(observer, old).status_code == 400
    assert observer.client.post(SEND, json=written()).status_code == 400
    assert rows(floor) == []
    assert send(observer).status_code == 201


def test_who_is_signed_out_is_led_to_signing_in(floor: World, observer: Visitor) -> None:
    """The phone takes that for what it is, and keeps its queue."""
    token = token_of(observer)
    observer.send("/observe", "/sign-out")
    assert observer.get("/observe/floor/token").status_code == 302
    assert send(observer, token).status_code in (302, 400)
    assert rows(floor) == []


def test_only_observers_send(floor: World, visitor: Callable[[str], Visitor]) -> None:
    """The coordinator looks on."""
    coordinator = visitor("c-01")
    page = coordinator.get("/people").text
    token = page.split('name="csrf_token" value="')[1].split('"')[0]
    assert send(coordinator, token, observer="c-01").status_code == 403


def test_half_a_character_keeps_nothing_on_the_phone(floor: World, observer: Visitor) -> None:
    """A keyboard may leave half a pair behind; it is stored as a mark for what was lost, and once."""
    ways = [{"mark": "another-way", "way": "by \ud83d hand"}] * 4
    first = send(observer, remark="Looked away \ud83d", marks=ways)
    assert (first.status_code, first.get_json()["status"]) == (201, "stored")
    assert send(observer, remark="Looked away \ud83d", marks=ways).status_code == 200
    assert [row.remark for row in rows(floor)] == ["Looked away \ufffd"]
    assert "no participant" in refused(observer, key="k-2", participant="\ud83d")


def test_a_clock_that_was_never_set_is_kept_as_far_as_a_number_goes(floor: World, observer: Visitor) -> None:
    """A phone at the year 9999 is no reason to lose what was seen."""
    assert send(observer, device_now="9999-12-31T00:00:00Z").status_code == 201
    assert rows(floor)[0].clock_seconds == 2**31 - 1


def test_uncalibrated_observers_hear_that_it_does_not_count(world: World, visitor: Callable[[str], Visitor]) -> None:
    """It is kept and shown all the same."""
    world.add_person("v-001")
    add_observer(world, "o-01", skill="leading")
    words = send(visitor("o-01")).get_json()["words"]
    assert words.endswith("The observer was not entitled to this skill on that day.")
    with world.reading() as db:
        assert db.scalar(select(func.count(Observation.id))) == 1
