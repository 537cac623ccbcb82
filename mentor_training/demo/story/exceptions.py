"""What went otherwise: an incident and its stand-down, a restriction, a waiver, papers and an observation withdrawn."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.clearance.actions import lift, pause, waive, withdraw
from mentor_training.demo.cast import luck
from mentor_training.demo.marking import STOPPED, THERE, marks_for
from mentor_training.demo.stage import Stage
from mentor_training.demo.story.observing import RAISED_A_LOAD, Notebook, Scene, see
from mentor_training.errors import Refused
from mentor_training.evidence.facts import MET, ON_FILE, RESTRICTED, STOOD_DOWN
from mentor_training.evidence.queries import facts_of
from mentor_training.evidence.tables import Record
from mentor_training.observing.actions.observe import Look, observe
from mentor_training.observing.actions.reviews import close_review
from mentor_training.observing.queries.reviews import open_reviews
from mentor_training.papers.actions.deciding import verify
from mentor_training.papers.actions.filing import put_on_file
from mentor_training.papers.rules import Seen
from mentor_training.planning.actions.placing import place
from mentor_training.planning.queries.plan import standing_in
from mentor_training.program.queries import require_edition

INCIDENT = date(2026, 9, 29)
STOOD_DOWN_AT = "resistance-corner"


def tell_exceptions(stage: Stage, book: Notebook) -> None:
    """Put them on the agenda."""
    at, add = stage.moment, stage.agenda.add
    add(at(INCIDENT, "18:03"), _stop, stage, book)
    add(at(INCIDENT, "18:50"), _stand_down, stage)
    add(at(date(2026, 10, 5), "17:20"), _refused_at_the_gate, stage)
    add(at(date(2026, 10, 1), "15:10"), _observe_late, stage)
    add(at(date(2026, 10, 5), "10:00"), _restrict_and_waive, stage)
    add(at(date(2026, 10, 5), "10:20"), _withdraw_card, stage)
    add(at(date(2026, 10, 8), "12:00"), _lift, stage)
    add(at(date(2026, 10, 9), "17:10"), _refused_apart, stage)
    add(at(date(2026, 10, 12), "09:10"), _void, stage)
    add(at(date(2026, 10, 14), "16:00"), _stand_down_everywhere, stage)
    add(at(date(2026, 10, 15), "12:30"), _new_card, stage)


def _stop(db: Session, at: datetime, stage: Stage, book: Notebook) -> None:
    """Hyun-ae puts a heavier weight into somebody's hand; the observer takes over."""
    with_whom = next(
        one.placed.participant
        for one in standing_in(db, "s-06")
        if (one.placed.mentor, one.placed.station) == (RAISED_A_LOAD, STOOD_DOWN_AT) and one.placed.participant
    )
    scene = Scene("o-03", stage.cast.characters[RAISED_A_LOAD], INCIDENT, STOOD_DOWN_AT, with_whom)
    see(db, at, stage, book, scene, "spotting-resistance", STOPPED)


def _stand_down(db: Session, at: datetime, stage: Stage) -> None:
    reason = "A load was raised without the lead. A talk with the course instructor comes first, then a second look."
    pause(db, at, stage.cast.coordinator, RAISED_A_LOAD, STOOD_DOWN, STOOD_DOWN_AT, INCIDENT, None, reason)


def _refused_at_the_gate(db: Session, at: datetime, stage: Stage) -> None:
    by = stage.cast.coordinator
    must_refuse(lambda: place(db, at, by, "s-08", 1, STOOD_DOWN_AT, RAISED_A_LOAD, "p-24"), "stood down")


def _refused_apart(db: Session, at: datetime, stage: Stage) -> None:
    """Two who are kept apart are not paired, whatever the one is cleared for."""
    by = stage.cast.coordinator
    must_refuse(lambda: place(db, at, by, "s-09", 1, "target-games", "v-021", "p-03"), "kept apart")


def must_refuse(act: Callable[[], object], because: str) -> None:
    """Let an act be refused for a reason that says so, as the rules have to; a story in which it succeeds is wrong."""
    try:
        act()
    except Refused as no:
        if any(because in reason for reason in no.reasons):
            return
        raise
    raise AssertionError("an act that the rules must refuse went through")


def _lift(db: Session, at: datetime, stage: Stage) -> None:
    by = stage.cast.coordinator
    for review in open_reviews(db):
        if review.person == RAISED_A_LOAD:
            close_review(
                db, at, by, review.id, "Talked through with the instructor on 7 October; seen again from now on."
            )
    stood_down = _newest(db, at, RAISED_A_LOAD, STOOD_DOWN)
    lift(
        db, at, by, stood_down, stage.day(at), "Talk held on 7 October; the rule was said back, and the reason for it."
    )


def _newest(db: Session, at: datetime, person: str, kind: str, item: str = "") -> str:
    found = [fact.code for fact in facts_of(db, person, at, (kind,)) if not item or fact.item == item]
    return found[-1]


def _observe_late(db: Session, at: datetime, stage: Stage) -> None:
    """The fourth observer enters nine days later what she saw on 22 September: kept, and not counted."""
    day = date(2026, 9, 22)
    skill = require_edition(db, day, at).program.skills["line-of-sight"]
    marks = marks_for(skill.criteria, THERE, luck("late"))
    look = Look("v-008-line-of-sight-late", "v-008", skill.slug, day, True, marks, "target-games", "p-31")
    observe(db, at, stage.day(at), stage.cast.people["o-04"], look)


def _restrict_and_waive(db: Session, at: datetime, stage: Stage) -> None:
    by = stage.cast.coordinator
    day = stage.day(at)
    pause(
        db, at, by, "v-028", RESTRICTED, "activity/water", day, date(2026, 10, 31), "Their own wish: not in the water."
    )
    reason = "Moving house; the new number comes with the contract at the end of the month."
    waive(db, at, by, "v-047", "paper/emergency-contact", day, date(2026, 10, 31), reason)
    must_refuse(
        lambda: waive(db, at, by, "v-019", "paper/cpr-aed", day, date(2026, 10, 31), "Course booked."),
        "cannot be waived",
    )


def _withdraw_card(db: Session, at: datetime, stage: Stage) -> None:
    card = _newest(db, at, "v-036", ON_FILE, "paper/cpr-aed")
    reason = "The provider confirms that the course was online only, with no hands-on part."
    withdraw(db, at, stage.cast.coordinator, card, stage.day(at), reason, void=False)


def _new_card(db: Session, at: datetime, stage: Stage) -> None:
    who, issued = stage.cast.people["v-036"], date(2026, 10, 13)
    last, day = date(2028, 10, 13), stage.day(at)
    row = put_on_file(db, at, day, who, who.code, "cpr-aed", issued, last)
    verify(db, at, day, stage.cast.coordinator, row.id, Seen(issued, last, hands_on=True))


def _void(db: Session, at: datetime, stage: Stage) -> None:
    """A met observation was entered for the wrong person of two who stood side by side."""
    codes = select(Record.code).where(Record.kind == MET, Record.person == "v-018").order_by(Record.number.desc())
    last = db.scalars(codes).first()
    if last is not None:
        reason = "Entered for the wrong one of two who stood side by side."
        withdraw(db, at, stage.cast.coordinator, last, stage.day(at), reason, void=True)


def _stand_down_everywhere(db: Session, at: datetime, stage: Stage) -> None:
    reason = "A photo from the hall was posted. Paused everywhere until the code of conduct was gone through together."
    pause(db, at, stage.cast.coordinator, "v-035", STOOD_DOWN, "", stage.day(at), None, reason)
