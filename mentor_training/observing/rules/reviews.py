"""How a review stands after its steps, and what may be done next; pure. Rules of this program."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from mentor_training.observing.rules.results import MET, RESULT_WORDS

STOOD_DOWN = "stood-down"
ASSIGNED = "assigned"
PLANNED = "planned"
SEEN_AGAIN = "seen-again"
RELEASED = "released"
CLOSED = "closed"
ENDS = (RELEASED, CLOSED)
STEP_WORDS = {
    STOOD_DOWN: "Stood down",
    ASSIGNED: "Assigned",
    PLANNED: "What has to be shown again",
    SEEN_AGAIN: "Seen again",
    RELEASED: "Released and closed",
    CLOSED: "Closed",
}


@dataclass(frozen=True)
class Step:
    """One thing that was done about a review; `number` is its place in the order of entry."""

    number: int
    kind: str
    assignee: str = ""
    observation: int | None = None
    record: str = ""


@dataclass(frozen=True)
class Progress:
    """How a review stands: whom it is with, what has to be shown again and what answered, what paused, how it ended."""

    assignee: str = ""
    has_plan: bool = False
    answers: tuple[int, ...] = ()
    stand_downs: tuple[str, ...] = ()
    ended: str = ""

    @property
    def is_open(self) -> bool:
        """Say whether it waits still."""
        return not self.ended

    @property
    def is_answered(self) -> bool:
        """Say whether nothing is left to be shown again."""
        return not self.has_plan or bool(self.answers)


@dataclass(frozen=True)
class Again:
    """An observation offered as the one that answers a review: of whom and of what, and what it came to."""

    number: int
    person: str
    skill: str
    day: date
    result: str
    struck: bool = False
    entered_after: bool = True


def progress(steps: Iterable[Step]) -> Progress:
    """Return how a review stands. A new plan asks for a new answer; of several assignments the newest counts."""
    found = Progress()
    for step in sorted(steps, key=lambda one: one.number):
        found = _after(found, step)
    return found


def _after(now: Progress, step: Step) -> Progress:
    assignee = step.assignee if step.kind == ASSIGNED else now.assignee
    has_plan = now.has_plan or step.kind == PLANNED
    answers = () if step.kind == PLANNED else now.answers
    if step.kind == SEEN_AGAIN and step.observation is not None:
        answers = (*answers, step.observation)
    stand_downs = (*now.stand_downs, step.record) if step.kind == STOOD_DOWN else now.stand_downs
    return Progress(assignee, has_plan, answers, stand_downs, step.kind if step.kind in ENDS else now.ended)


def objections_to_working(number: int, found: Progress, person: str, by: str) -> tuple[str, ...]:
    """Return why somebody may not do anything about a review; empty when they may."""
    reasons = {
        f"Review {number} is closed already; what comes up now is another one.": not found.is_open,
        "Nobody works on or closes a review about themselves.": person == by,
    }
    return tuple(reason for reason, holds in reasons.items() if holds)


def objections_to_answer(found: Progress, person: str, skill: str, since: date, again: Again) -> tuple[str, ...]:
    """Return why an observation does not answer a review; `skill` is empty where the review is about none.

    It is a met one, of the same volunteer and skill, seen no earlier than what the review is about and entered after
    the review was opened.
    """
    reasons = {
        f"Observation {again.number} is about somebody else.": again.person != person,
        f"Observation {again.number} is of another skill.": bool(skill) and again.skill != skill,
        f"Observation {again.number} was there before the review.": not again.entered_after or again.day < since,
        f"Observation {again.number} was struck.": again.struck,
        f"Observation {again.number} came to “{RESULT_WORDS.get(again.result, again.result)}”; a met one answers.": (
            again.result != MET
        ),
        f"Observation {again.number} answers it already.": again.number in found.answers,
        "Write first what has to be shown again.": not found.has_plan,
    }
    return tuple(reason for reason, holds in reasons.items() if holds)


def objections_to_release(found: Progress) -> tuple[str, ...]:
    """Return why nobody is released yet: what has to be shown again has not been."""
    return (
        () if found.is_answered else ("What has to be shown again has not been seen yet; name the observation first.",)
    )
