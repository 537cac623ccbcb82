"""The sessions as they ran: cards and plan before, people checked in and out, no-shows mended, closed afterwards."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta

from sqlalchemy.orm import Session

from mentor_training.calendar.queries import sessions
from mentor_training.calendar.rules import SessionFact
from mentor_training.clearance.queries import gate_at
from mentor_training.demo.cast import luck
from mentor_training.demo.marking import THERE
from mentor_training.demo.stage import DEMO_DAY, Stage
from mentor_training.demo.story.cards import hand_cards, may_come
from mentor_training.demo.story.hours import prepare_a_session
from mentor_training.demo.story.observing import (
    AT_THE_END,
    FAVORED,
    Notebook,
    Scene,
    see,
    sign_off_what_is_ready,
)
from mentor_training.demo.story.pairing import TRAINEES, WHERE, plan_session
from mentor_training.errors import Refused
from mentor_training.participants.queries import participants, profile_in_force
from mentor_training.planning.actions.closing import close
from mentor_training.planning.actions.coming import check_in, check_out
from mentor_training.planning.actions.placing import place, remove
from mentor_training.planning.queries.coming import Came, came_to
from mentor_training.planning.queries.plan import plan_for, standing_in
from mentor_training.planning.rules import MENTOR, Placed, refusals

O_05_CALIBRATED = date(2026, 9, 25)
NO_SHOW = 0.02
FORGOTTEN = {("s-06", "v-014"), ("s-10", "v-016")}
SKILLS_AT_ONCE = 2
SEEN_AT_ONCE = 3
# Where Odalys walks somebody in while an observer comes along, session by session: who is guided.
WALKED_IN = {"s-03": ("p-26", "o-01"), "s-05": ("p-01", "o-02"), "s-07": ("p-26", "o-04")}


@dataclass
class Term:
    """What the chapters about sessions keep in mind from one to the next."""

    book: Notebook = field(default_factory=Notebook)
    trained: dict[str, int] = field(default_factory=dict)
    wishes: dict[str, tuple[str, ...]] = field(default_factory=dict)


def hold_sessions(stage: Stage, term: Term, first: date) -> None:
    """Put the sessions on the agenda, once they are moved in."""
    stage.agenda.add(stage.moment(first, "08:00"), _announce, stage, term)


def _announce(db: Session, at: datetime, stage: Stage, term: Term) -> None:
    for one in participants(db):
        profile = profile_in_force(db, one.code, stage.day(at), at)
        term.wishes[one.code] = profile.wishes if profile else ()
    for session in sessions(db):
        if session.day <= DEMO_DAY:
            _prepare(stage, term, session)
        if session.day < DEMO_DAY:
            _run(stage, term, session)
            prepare_a_session(stage, session)


def _prepare(stage: Stage, term: Term, session: SessionFact) -> None:
    two_days = stage.moment(session.day - timedelta(days=2), "18:00")
    evening = stage.moment(session.day - timedelta(days=1), "17:30")
    stage.agenda.add(two_days, hand_cards, stage, session.code, term.wishes)
    # The plan of the demo day is the program's proposal alone.
    trainees = TRAINEES if session.day < DEMO_DAY else 0
    stage.agenda.add(evening, plan_session, stage, session.code, term.book, term.trained, trainees)


def _run(stage: Stage, term: Term, session: SessionFact) -> None:
    starts = stage.moment(session.day, session.starts)
    ends = stage.moment(session.day, session.ends)
    stage.agenda.add(starts - timedelta(minutes=30), _welcome, stage, session)
    stage.agenda.add(starts + timedelta(minutes=12), _mend, stage, session)
    for block in session.blocks:
        middle = stage.moment(session.day, block.starts) + timedelta(minutes=4)
        stage.agenda.add(middle, _watch, stage, term, session, block.number)
    if session.code in WALKED_IN:
        stage.agenda.add(starts + timedelta(minutes=14), _walk_in, stage, term, session)
    stage.agenda.add(ends - timedelta(minutes=9), _see_close_down, stage, term, session)
    stage.agenda.add(
        ends + timedelta(minutes=20),
        close,
        stage.cast.coordinator,
        session.code,
        stage.zone,
    )
    stage.agenda.add(ends + timedelta(minutes=25), sign_off_what_is_ready, stage, term.book)


def _welcome(db: Session, at: datetime, stage: Stage, session: SessionFact) -> None:
    """Check in who comes, and out when it is over; who may not be on the floor stays at home."""
    gate = gate_at(db, at)
    gate.load_everybody()
    at_the_desk = stage.cast.people[session.observers[0]]
    for kind, code in _who_comes(session):
        if kind == "volunteer" and not may_come(gate, code, session.day):
            continue
        chance = luck("coming", session.code, code)
        come = at + timedelta(minutes=chance.randint(2, 24) if kind == "volunteer" else chance.randint(26, 40))
        leave = stage.moment(session.day, session.ends) + timedelta(minutes=chance.randint(-6, 4), seconds=30)
        stage.agenda.add(come, check_in, at_the_desk, session.code, kind, code, stage.zone)
        if (session.code, code) not in FORGOTTEN:
            stage.agenda.add(leave, check_out, at_the_desk, session.code, kind, code, stage.zone)


def _who_comes(session: SessionFact) -> Iterator[tuple[str, str]]:
    for code in session.volunteers:
        sure = code in FAVORED or (session.code, code) in FORGOTTEN
        if sure or luck("no-show", session.code, code).random() >= NO_SHOW:
            yield "volunteer", code
    for code in session.participants:
        if luck("no-show", session.code, code).random() >= NO_SHOW:
            yield "participant", code


def _mend(db: Session, at: datetime, stage: Stage, session: SessionFact) -> None:
    """Take those who have not come out of the plan, and put somebody who is there in their place where one can be."""
    came = came_to(db, session.code)
    missing = [one for one in standing_in(db, session.code) if ("volunteer", one.placed.mentor) not in came]
    for one in sorted(missing, key=lambda one: one.placed.role != MENTOR):
        # A lead on whom others depend stays on paper; the closing shows that they did not come.
        with suppress(Refused):
            remove(db, at, stage.cast.coordinator, session.code, one.id)
            _replace(db, at, stage, session.code, one.placed, came)


def _replace(
    db: Session, at: datetime, stage: Stage, code: str, gone: Placed, came: dict[tuple[str, str], Came]
) -> None:
    plan = plan_for(db, code, at)
    busy = {one.mentor for one in plan.placed if one.block == gone.block}
    for kind, who in sorted(came):
        if kind == "volunteer" and who not in busy:
            level = plan.level_of(who, gone.station, gone.participant)
            if not refusals(plan.floor, plan.placed, replace(gone, mentor=who, level=level)):
                by = stage.cast.coordinator
                place(db, at, by, code, gone.block, gone.station, who, gone.participant, gone.role)
                return


def _watch(db: Session, at: datetime, stage: Stage, term: Term, session: SessionFact, block: int) -> None:
    """Let each observer look at a few volunteers of this block, at two skills each; trainees before the others."""
    came, left = came_to(db, session.code), dict.fromkeys(session.observers, SEEN_AT_ONCE)
    here = [
        one.placed
        for one in standing_in(db, session.code)
        if one.placed.block == block and one.placed.role == MENTOR and ("volunteer", one.placed.mentor) in came
    ]
    here.sort(key=lambda one: (one.mentor not in FAVORED, stage.cast.characters[one.mentor].is_returning))
    moment = at
    for one in here:
        skills = [slug for slug in term.book.wanted(one.mentor) if one.station in WHERE.get(slug, ())]
        observer = _observer_for(term.book, one.mentor, left, session.day) if skills else ""
        if observer:
            left[observer] -= 1
            who = stage.cast.characters[one.mentor]
            scene = Scene(observer, who, session.day, one.station, one.participant or "")
            for slug in skills[:SKILLS_AT_ONCE]:
                moment += timedelta(seconds=10)
                stage.agenda.add(moment, see, stage, term.book, scene, slug)


def _observer_for(book: Notebook, person: str, left: dict[str, int], day: date) -> str:
    """Return who of the observers has time left and has seen this volunteer least."""
    free = [code for code, times in left.items() if times]
    if person in FAVORED:
        free = [code for code in free if code != "o-05" or day >= O_05_CALIBRATED]
    seen = [one.observer for (who, _), looks in book.seen.items() if who == person for one in looks]
    return min(free, key=lambda code: (seen.count(code), code), default="")


def _see_close_down(db: Session, at: datetime, stage: Stage, term: Term, session: SessionFact) -> None:
    came, moment = came_to(db, session.code), at
    new = [
        code
        for kind, code in sorted(came)
        if kind == "volunteer" and (code, AT_THE_END) not in term.book.signed and term.book.wanted(code)
        and not stage.cast.characters[code].is_returning
    ]  # fmt: skip
    new.sort(key=lambda code: (code not in FAVORED, -term.book.times(code, AT_THE_END), code))
    for number, code in enumerate(new[: 3 * len(session.observers)]):
        moment += timedelta(seconds=15)
        observer = session.observers[number % len(session.observers)]
        scene = Scene(observer, stage.cast.characters[code], session.day, "rhythm-floor")
        stage.agenda.add(moment, see, stage, term.book, scene, AT_THE_END)


def _walk_in(db: Session, at: datetime, stage: Stage, term: Term, session: SessionFact) -> None:
    guided, observer = WALKED_IN[session.code]
    scene = Scene(observer, stage.cast.characters["v-001"], session.day, "guiding", guided)
    see(db, at, stage, term.book, scene, "human-guide", THERE)
