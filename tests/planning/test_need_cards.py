"""Cards of one's own pairing only: every way in, on every other day, after being moved and after the closing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from mentor_training.calendar.actions import store_session
from mentor_training.planning.actions.cards import hand_card
from mentor_training.planning.actions.changing import move, swap
from mentor_training.planning.actions.closing import close
from mentor_training.planning.actions.placing import remove
from mentor_training.planning.queries.plan import standing_in
from tests.builders import World
from tests.planning.saturday import COORDINATES, ZONE, at, put, session
from tests.sign_in import Visitor

Sign = Callable[[str], Visitor]
CARD, PAGE = "/pairing/cards/p-01/1", "/pairing"
TEXT = "Walk beside."
CAUTION = "arm&#39;s reach"


def shut(who: Visitor) -> bool:
    """Say whether neither the pairing nor the card's own address nor a form to it shows anything of the participant."""
    page, card = who.get(PAGE).text, who.get(CARD)
    sent = who.client.post(CARD, data={}).status_code
    return (
        not [word for word in ("Name01", CAUTION) if word in page]
        and not [word for word in ("Name01", TEXT, CAUTION) if word in card.text]
        and card.status_code == 403
        and sent in (400, 403)
    )


@pytest.fixture
def paired(floor: World) -> World:
    """Give the floor with v-002 and p-01 together in block 1."""
    put(floor, 1, "balance-lane", "v-002", "p-01")
    return floor


def test_the_own_mentor_sees_first_name_card_and_cautions(paired: World, visitor: Sign) -> None:
    """From the day before the session; so that the tests below have something to miss."""
    mentor = visitor("v-002")
    page = mentor.get(PAGE).text
    assert [word for word in ("Name01", TEXT, CAUTION) if word not in page] == []
    assert TEXT in mentor.get(CARD).text
    assert not shut(mentor)


@pytest.mark.parametrize("who", ["v-005", "o-01", "i-01"])
def test_nobody_else_comes_in_by_the_address(paired: World, visitor: Sign, who: str) -> None:
    """Neither a volunteer of the same session, nor its observer, nor a course instructor."""
    paired.add_person("i-01", "course-instructor")
    other = visitor(who)
    assert other.get(CARD).status_code == 403
    assert TEXT not in other.get(PAGE).text


@pytest.mark.parametrize(
    ("clock", "day", "is_open"),
    [
        ("23:59", date(2026, 10, 14), False),
        ("00:00", date(2026, 10, 15), True),
        ("23:59", date(2026, 10, 17), True),
        ("00:00", date(2026, 10, 18), False),
        ("12:00", date(2027, 3, 1), False),
    ],
)
def test_the_window_is_two_days_before_to_the_end_of_the_day(
    paired: World, visitor: Sign, clock: str, day: date, is_open: bool
) -> None:
    """By the program's own day, on the page, at the card's address and for the form that says it was read."""
    paired.clock.moment = at(clock, day)
    assert shut(visitor("v-002")) is not is_open


@pytest.mark.parametrize("query", ["?on=2026-10-17", "?on=2026-10-17&known_at=2026-10-16T18:00:00Z"])
def test_looking_as_of_another_day_opens_nothing(paired: World, visitor: Sign, query: str) -> None:
    """The window hangs on today, whatever day is looked at."""
    paired.clock.moment = at("12:00", date(2026, 10, 20))
    mentor = visitor("v-002")
    assert mentor.get(CARD + query).status_code == 403
    assert TEXT not in mentor.get(PAGE + query).text


def test_a_pairing_of_another_session_opens_only_that_sessions_days(paired: World, visitor: Sign) -> None:
    """Expected next week as well, and not placed there: from the Sunday between on the door is shut."""
    with paired.writing() as db:
        store_session(db, paired.clock.now(), COORDINATES, session("s-12", date(2026, 10, 24)))
    mentor = visitor("v-002")
    assert not shut(mentor)
    paired.clock.moment = at("12:00", date(2026, 10, 23))
    assert shut(mentor)


def test_who_is_taken_out_or_moved_sees_nothing_any_more(paired: World, visitor: Sign) -> None:
    """At once; and whoever comes in their place does."""
    mentor = visitor("v-002")
    row = put_row(paired)
    with paired.writing() as db:
        move(db, paired.clock.now(), COORDINATES, "s-11", row, "target-games", "p-02")
    assert shut(mentor)
    put(paired, 1, "balance-lane", "v-001", "p-01")
    assert not shut(visitor("v-001"))
    one, two = put_row(paired, "v-001"), put_row(paired, "v-002")
    with paired.writing() as db:
        swap(db, paired.clock.now(), COORDINATES, "s-11", one, two)
    assert not shut(mentor)
    assert shut(visitor("v-001"))
    row = put_row(paired)
    with paired.writing() as db:
        remove(db, paired.clock.now(), COORDINATES, "s-11", row)
    assert shut(mentor)


def put_row(world: World, who: str = "v-002") -> int:
    """Return the number of somebody's only placement."""
    with world.reading() as db:
        (row,) = (one.id for one in standing_in(db, "s-11") if one.placed.mentor == who)
    return row


def test_after_the_closing_it_stays_open_to_the_end_of_the_day_and_no_longer(paired: World, visitor: Sign) -> None:
    """To look up what to tell whoever brings the participant home; at midnight it is shut."""
    paired.clock.moment = at("11:30")
    with paired.writing() as db:
        close(db, paired.clock.now(), COORDINATES, "s-11", ZONE)
    mentor = visitor("v-002")
    assert not shut(mentor)
    assert shut(visitor("v-005"))
    paired.clock.moment = at("00:00", date(2026, 10, 18))
    assert shut(mentor)


def test_a_participant_who_is_no_longer_expected_is_shown_to_nobody(floor: World, visitor: Sign) -> None:
    """Though the card was handed over before."""
    with floor.writing() as db:
        hand_card(db, floor.clock.now(), COORDINATES, "s-11", "p-01", "v-002")
    mentor = visitor("v-002")
    assert not shut(mentor)
    with floor.writing() as db:
        store_session(db, floor.clock.now(), COORDINATES, replace(session(), participants=("p-02", "p-03")))
    assert shut(mentor)
