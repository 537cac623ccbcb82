"""Series stored whole or not at all, and the private addresses of calendars."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date

import pytest
from sqlalchemy import select

from mentor_training.calendar.actions import end_feed, make_feed, store_new, store_series
from mentor_training.calendar.queries import last_changes, sessions, whose_feed
from mentor_training.calendar.recurrence import Repeat
from mentor_training.calendar.series import Naming, series_of
from mentor_training.calendar.tables import Feed
from mentor_training.errors import NotFound, Refused
from mentor_training.journal.queries import entries
from mentor_training.people.permissions import CONSOLE, VOLUNTEER, Actor
from mentor_training.people.queries import person_for
from tests.builders import World
from tests.calendar.test_actions import SESSION, store

REPEAT = Repeat(date(2026, 10, 24), (5,), count=3, left_out=frozenset({date(2026, 10, 31)}))
FOUND = series_of(SESSION, REPEAT, Naming("s-12", "Week #", 7), ())
ODALYS = Actor("v-001", "Odalys Brannagh", frozenset({VOLUNTEER}))


def renew(world: World) -> str:
    with world.writing() as db:
        return make_feed(db, world.clock.now(), ODALYS)


def test_a_series_is_stored_with_the_rule_that_made_it(world: World) -> None:
    """One entry for each session and one for the series, with codes and days and no title."""
    with world.writing() as db:
        store_series(db, world.clock.now(), CONSOLE, FOUND, REPEAT)
    with world.reading() as db:
        assert [one.code for one in sessions(db)] == ["s-12", "s-13"]
        assert len(entries(db, kind="session")) == 2
        (entry,) = entries(db, kind="session-series")
    assert json.loads(entry.record) == {
        "first_day": "2026-10-24",
        "left_out": ["2026-10-31"],
        "rule": "FREQ=WEEKLY;INTERVAL=1;WKST=MO;BYDAY=SA;COUNT=3",
        "sessions": ["s-12", "s-13"],
    }


def test_a_taken_code_keeps_the_whole_series_out(world: World) -> None:
    """Each taken code is told, and nothing is stored."""
    store(world, replace(SESSION, code="s-13"))
    with pytest.raises(Refused, match="s-13 is there already"), world.writing() as db:
        store_series(db, world.clock.now(), CONSOLE, FOUND, REPEAT)
    with pytest.raises(Refused, match="block 1 lies outside"), world.writing() as db:
        store_new(db, world.clock.now(), CONSOLE, [FOUND[0], replace(FOUND[1], code="s-14", starts=SESSION.ends)])
    with pytest.raises(Refused, match="at least one day"), world.writing() as db:
        store_series(db, world.clock.now(), CONSOLE, FOUND, replace(REPEAT, weekdays=()))
    with world.reading() as db:
        assert [one.code for one in sessions(db)] == ["s-13"]
        assert entries(db, kind="session-series") == []


def test_a_renewed_address_ends_the_old_one_and_only_a_hash_is_kept(world: World) -> None:
    """The secret has 256 bits, neither table nor journal holds it, and each act is in the journal."""
    world.add_person("v-001")
    old, new = renew(world), renew(world)
    assert (len(old), old == new) == (43, False)
    with world.reading() as db:
        assert whose_feed(db, new).code == "v-001"
        with pytest.raises(NotFound):
            whose_feed(db, old)
        (row,) = db.scalars(select(Feed))
        said = entries(db, kind="calendar-feed")
        assert [(one.who, one.subject, one.record) for one in said] == [
            ("v-001", "v-001", '{"is":"renewed"}'),
            ("v-001", "v-001", '{"is":"made"}'),
        ]
        assert new not in f"{row.token_hash}{[one.record for one in said]}"


def test_an_ended_address_opens_nothing(world: World) -> None:
    """Ended once, it is in the journal once."""
    world.add_person("v-001")
    token = renew(world)
    with world.writing() as db:
        assert [end_feed(db, world.clock.now(), ODALYS) for _ in range(2)] == [True, False]
    with world.reading() as db:
        assert [one.record for one in entries(db, kind="calendar-feed")] == ['{"is":"ended"}', '{"is":"made"}']
        with pytest.raises(NotFound):
            whose_feed(db, token)


def test_an_address_opens_nothing_to_who_may_no_longer_see_sessions(world: World) -> None:
    """The roles that count are those of the moment."""
    world.add_person("v-001")
    token = renew(world)
    with world.writing() as db:
        person_for(db, "v-001").roles = ("course-instructor",)
    with world.reading() as db, pytest.raises(NotFound):
        whose_feed(db, token)


def test_a_session_was_last_changed_when_the_journal_says(world: World) -> None:
    """Not when it was made."""
    store(world, SESSION)
    made = world.clock.now()
    world.clock.forward(hours=2)
    store(world, replace(SESSION, title="Moved"))
    with world.reading() as db:
        assert last_changes(db) == {"s-11": world.clock.now()}
        assert made < world.clock.now()
