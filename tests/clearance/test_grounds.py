"""Grounds on which the level is 0 whatever is held, and slips of the pen that must never make a yes."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from mentor_training.clearance.actions import lift, pause, withdraw
from mentor_training.clearance.queries import decide_for
from mentor_training.errors import NotFound, Refused
from mentor_training.evidence.actions import record
from mentor_training.participants.tables import Profile
from mentor_training.people.permissions import CONSOLE
from mentor_training.program.catalog import Level
from tests.builders import FRIDAY, World
from tests.small_program import NEEDS, STATIONS, small_files

READY = ("paper/background-check", "module/safety@1", "skill/guarding", "skill/leading")


@pytest.fixture
def ready(world: World) -> World:
    """Give a world with one volunteer who holds everything."""
    world.add_person("v-001")
    world.hold("v-001", *READY)
    return world


def level(world: World, station: str, participant: str | None = None, on: date = FRIDAY) -> Level:
    """Ask the gate."""
    with world.reading() as db:
        return decide_for(db, "v-001", station, participant, on, world.clock.now()).level


def kinds(world: World, station: str, participant: str | None = None) -> set[str]:
    """Return the kinds of grounds."""
    with world.reading() as db:
        decision = decide_for(db, "v-001", station, participant, FRIDAY, world.clock.now())
        return {ground.kind for ground in decision.grounds}


def test_a_need_that_the_edition_does_not_define_is_nobodys_to_meet(ready: World) -> None:
    """A need renamed in a later edition never turns into no need at all."""
    ready.add_participant("p-01", needs="two-mentors", card=False)
    assert level(ready, "target-games", "p-01") == Level.INDEPENDENT
    renamed = NEEDS.replace('"two-mentors"', '"pair-of-mentors"')
    ready.publish({**small_files(), "program/needs.toml": renamed}, FRIDAY, number=2)
    assert level(ready, "target-games", "p-01") == Level.NOT_YET
    assert kinds(ready, "target-games", "p-01") == {"unknown_need"}


def test_a_participant_of_whom_nothing_is_known_yet_is_no_yes(ready: World) -> None:
    """Before the first profile begins there is a ground; before anything was recorded there is no such participant."""
    ready.add_participant("p-01", card=False)
    with ready.writing() as db:
        stored = db.query(Profile).one()
        stored.first_day, stored.from_start = FRIDAY + timedelta(days=1), False
        stored.recorded_at = ready.clock.now()
    assert kinds(ready, "target-games", "p-01") == {"not_begun"}
    earlier = ready.clock.now() - timedelta(days=1)
    with ready.reading() as db, pytest.raises(NotFound):
        decide_for(db, "v-001", "target-games", "p-01", FRIDAY, earlier)


def test_a_stand_down_in_a_scope_that_nothing_has_holds_everywhere(ready: World) -> None:
    """Whatever was meant, it is on the safe side."""
    with ready.writing() as db:
        record(db, ready.clock.now(), "console", "v-001", "stood-down", "balance-lain", FRIDAY)
    assert level(ready, "target-games") == Level.NOT_YET


def test_a_pause_of_one_station_leaves_the_others(ready: World) -> None:
    """The scope is a station, an activity, or all."""
    with ready.writing() as db:
        pause(db, ready.clock.now(), CONSOLE, "v-001", "restricted", "activity/stepping", FRIDAY, None, "Sore foot.")
    assert level(ready, "balance-lane") == Level.NOT_YET
    assert level(ready, "target-games") == Level.INDEPENDENT


def test_a_lifting_that_was_voided_can_be_made_again(ready: World) -> None:
    """A correction in error blocks nothing for good."""
    now = ready.clock.now()
    with ready.writing() as db:
        paused = pause(db, now, CONSOLE, "v-001", "stood-down", "", FRIDAY, None, "An incident.").code
        lifted = lift(db, now, CONSOLE, paused, FRIDAY, "Talked.").code
        withdraw(db, now, CONSOLE, lifted, FRIDAY, "Lifted the wrong one.", void=True)
    assert level(ready, "target-games") == Level.NOT_YET
    with ready.writing() as db:
        lift(db, now, CONSOLE, paused, FRIDAY, "Talked again.")
    assert level(ready, "target-games") == Level.INDEPENDENT


@pytest.mark.parametrize(
    ("kind", "item", "note"),
    [
        ("hours", "direct", "90 min"),
        ("hours", "direct", "1.5"),
        ("completed", "module/safety@x", ""),
        ("completed", "module/safety@1@2", ""),
        ("signed-off", "paper/background-check", ""),
        ("read-card", "card/p-01", ""),
        ("praised", "skill/guarding", ""),
    ],
)
def test_a_record_that_could_not_be_read_later_is_refused(ready: World, kind: str, item: str, note: str) -> None:
    """Evidence can never be changed, so what goes in must be readable."""
    with ready.reading() as db, pytest.raises(Refused):
        record(db, ready.clock.now(), "console", "v-001", kind, item, FRIDAY, note=note)


@pytest.mark.parametrize("day", [date(9999, 12, 31), date(1, 1, 1)])
def test_a_day_far_off_is_refused(ready: World, day: date) -> None:
    """One slip of the pen must not break the reckoning for everybody."""
    with ready.reading() as db, pytest.raises(Refused):
        pause(db, ready.clock.now(), CONSOLE, "v-001", "restricted", "", day, None, "Off.")


def test_a_waiver_in_the_entry_is_named_as_a_waiver(ready: World) -> None:
    """Where it counts it is always named."""
    program = 'name = "P"\nentry = { all = ["paper/photo-choice"] }\n'
    ready.publish({**small_files(), "program/program.toml": program, "program/stations.toml": STATIONS}, FRIDAY, 2)
    with ready.writing() as db:
        record(db, ready.clock.now(), "console", "v-001", "waived", "paper/photo-choice", FRIDAY, FRIDAY)
    with ready.reading() as db:
        decision = decide_for(db, "v-001", "target-games", None, FRIDAY, ready.clock.now())
    assert decision.level > 0
    assert [span.item for span in decision.met if span.waiver] == ["paper/photo-choice"]


def test_who_is_stood_down_is_no_shadow_either(ready: World) -> None:
    """An unread card leaves a shadow; a stand-down keeps off the floor."""
    ready.add_participant("p-01")
    with ready.reading() as db:
        assert decide_for(db, "v-001", "target-games", "p-01", FRIDAY, ready.clock.now()).is_shadow
    with ready.writing() as db:
        pause(db, ready.clock.now(), CONSOLE, "v-001", "stood-down", "", FRIDAY, None, "An incident.")
    with ready.reading() as db:
        assert not decide_for(db, "v-001", "target-games", "p-01", FRIDAY, ready.clock.now()).is_shadow
