"""Puts observers on the floor and has them see things, through the program's own actions."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, datetime, time

from mentor_training.calendar.tables import Expected, ProgramSession
from mentor_training.clock import day_in
from mentor_training.observing.actions.observe import Look, observe
from mentor_training.observing.actions.sign_off import sign_off
from mentor_training.observing.actions.standings import set_standing
from mentor_training.observing.rules.results import GivenMark
from mentor_training.observing.tables import Observation, SignOff
from mentor_training.people.permissions import CONSOLE
from mentor_training.people.queries import actor_of, person_for
from tests.builders import FRIDAY, PASSWORD, World

TERM = date(2026, 9, 1)
GOOD = "done done done done"


def add_observer(world: World, code: str, skill: str = "*", roles: str = "observer") -> str:
    """Add an observer who is calibrated and entitled from the first day of the term on."""
    world.add_person(code, roles)
    entered = datetime.combine(TERM, time(12), world.clock.now().tzinfo)
    with world.writing() as db:
        set_standing(db, entered, CONSOLE, code, "calibrated", "*", TERM, reason="Calibrated at the other site.")
        set_standing(db, entered, CONSOLE, code, "entitled", skill, TERM)
    return code


def today(world: World) -> date:
    """Return the day on which the world's clock stands."""
    return day_in(world.instance.settings.zone, world.clock.now())


def look(person: str, marks: str = GOOD, day: date = FRIDAY, key: str = "", **more: object) -> Look:
    """Write down what was seen of the skill `guarding`, unless another is named."""
    skill = str(more.pop("skill", "guarding"))
    given = {number: GivenMark(word, "as agreed") for number, word in enumerate(marks.split(), 1)}
    return Look(key or f"{person}-{skill}-{day}-{marks}-{more}"[:64], person, skill, day, True, given, **more)  # type: ignore[arg-type]


def see(world: World, observer: str, what: Look, partners: Collection[str] = ()) -> Observation:
    """Have an observer record what they saw, today."""
    with world.writing() as db:
        by = actor_of(person_for(db, observer))
        return observe(db, world.clock.now(), today(world), by, what, partners)


def see_on(world: World, day: date, observer: str, person: str, marks: str = GOOD, **more: object) -> Observation:
    """Have an observer see and record something on a day, at noon."""
    before = world.clock.moment
    world.clock.moment = datetime.combine(day, time(16), before.tzinfo)
    row = see(world, observer, look(person, marks, day, key=f"{observer}-{person}-{day}-{marks}"[:64], **more))
    world.clock.moment = max(before, world.clock.moment)
    return row


def sign(world: World, observer: str, person: str, password: str = PASSWORD, **more: object) -> SignOff:
    """Have an observer sign the skill `guarding` off."""
    with world.writing() as db:
        by = actor_of(person_for(db, observer))
        return sign_off(db, world.clock.now(), today(world), by, person, "guarding", password, **more)  # type: ignore[arg-type]


def add_session(world: World, code: str, day: date, volunteers: str = "", observers: str = "", **more: str) -> None:
    """Add a session with those expected at it."""
    with world.writing() as db:
        db.add(
            ProgramSession(
                code=code, title=f"Session {code}", day=day, starts=time(9, 30), ends=time(11, 15),
                stations=("balance-lane",), recorded_at=world.clock.now(),
            )
        )  # fmt: skip
        db.flush()
        expected = {"volunteer": volunteers, "observer": observers, "participant": more.get("participants", "")}
        for kind, codes in expected.items():
            db.add_all(Expected(session=code, kind=kind, code=one) for one in codes.split(";") if one)
