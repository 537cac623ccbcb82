"""A small Saturday: six volunteers, three participants, two places and a duty, two blocks.

v-001 may lead the balance lane, v-002 is independent there, v-003 is supervised there, v-004 holds
nothing, v-005 is as v-003, v-006 leads target games. All have read every card.
"""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

from mentor_training.calendar.actions import store_session
from mentor_training.calendar.rules import SessionFact, read_blocks
from mentor_training.evidence.actions import record
from mentor_training.people.permissions import COORDINATOR, OBSERVER, Actor
from mentor_training.planning.actions.placing import accept, place
from mentor_training.planning.queries.asking import question_of
from mentor_training.planning.queries.plan import plan_for
from mentor_training.planning.rules import Placed
from mentor_training.planning.solver.search import Found, best_plan
from mentor_training.planning.tables import Placement
from tests.builders import World

ZONE = ZoneInfo("America/New_York")
SATURDAY = date(2026, 10, 17)
COORDINATES = Actor("c-01", "Wilhelmina", frozenset({COORDINATOR}))
OBSERVES = Actor("o-01", "Sunniva", frozenset({OBSERVER}))
VOLUNTEERS = tuple(f"v-00{number}" for number in range(1, 7))
PARTICIPANTS = ("p-01", "p-02", "p-03")
ON_THE_FLOOR = ("module/safety", "paper/background-check")


def at(clock: str, day: date = SATURDAY) -> datetime:
    """Return a moment of that Saturday, or of another day, in the program's zone."""
    return datetime.fromisoformat(f"{day}T{clock}").replace(tzinfo=ZONE)


def session(code: str = "s-11", day: date = SATURDAY, blocks: str = "09:50-10:02;10:05-10:17") -> SessionFact:
    """Return a session with everybody expected."""
    starts, ends = at("09:30").time(), at("11:15").time()
    return SessionFact(
        code, "Week 6, Saturday morning", day, starts, ends, read_blocks(blocks, starts, ends) or (),
        ("balance-lane", "target-games", "arrival-desk"), PARTICIPANTS, VOLUNTEERS, ("o-01",),
    )  # fmt: skip


def saturday(world: World, needs: str = "fall-risk") -> World:
    """Put the Saturday into a world; `needs` are those of p-01, p-02 has none, p-03 takes two mentors."""
    for code, roles in (("c-01", "coordinator"), ("o-01", "observer"), ("o-02", "observer")):
        world.add_person(code, roles)
    for code in VOLUNTEERS:
        world.add_person(code)
    for code, those in zip(PARTICIPANTS, (needs, "", "two-mentors"), strict=True):
        world.add_participant(code, needs=those)
    cards = [f"card/{code}@1" for code in PARTICIPANTS]
    for code in VOLUNTEERS:
        world.hold(code, *cards)
        if code != "v-004":
            world.hold(code, *ON_THE_FLOOR)
    world.hold("v-001", "skill/guarding", "skill/leading")
    world.hold("v-002", "skill/guarding")
    with world.writing() as db:
        record(db, world.clock.now(), "console", "v-001", "hours", "direct", date(2026, 10, 1), note="600")
        for number in range(3):
            day = date(2026, 9, 12 + number)
            record(db, world.clock.now(), "console", "v-006", "attended", f"s-0{number}", day)
        store_session(db, world.clock.now(), COORDINATES, session())
    return world


def put(
    world: World, block: int, station: str, mentor: str, participant: str | None = None, role: str = ""
) -> Placement:
    """Place somebody by the program's own act."""
    with world.writing() as db:
        return place(db, world.clock.now(), COORDINATES, "s-11", block, station, mentor, participant, role)


def best_for(world: World, code: str = "s-11") -> Found:
    """Return the best plan for a session; nothing is stored."""
    with world.reading() as db:
        now = world.clock.now()
        return best_plan(question_of(db, plan_for(db, code, now), now))


def accept_best(world: World, code: str = "s-11") -> tuple[Placed, ...]:
    """Store the best plan for a session."""
    found = best_for(world, code)
    with world.writing() as db:
        return accept(db, world.clock.now(), COORDINATES, code, found.added)
