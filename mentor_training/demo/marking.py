"""Marks as an observer of the story gives them: a skill that is there, not there yet, or only half seen; pure."""

from __future__ import annotations

from random import Random

from mentor_training.observing.rules.results import GivenMark, Marking
from mentor_training.program.catalog import Criterion

THERE, NOT_YET, HALF_SEEN, STOPPED = "there", "not yet", "half seen", "stopped"
OWN_WAY = "Shows it on a picture card instead of saying it; agreed with the instructor in August."
REMARKS = {
    THERE: ("", "", "", "Calm and unhurried.", "Waited well today.", "Good eye for the others in the room too."),
    NOT_YET: ("Talked while showing; try it once in silence.", "Close. Next time one step earlier.", ""),
    HALF_SEEN: ("I was called away before the end.",),
    STOPPED: ("I took over and we talked about it right away.",),
}


def marks_for(criteria: tuple[Criterion, ...], how: str, chance: Random) -> dict[int, GivenMark]:
    """Mark every criterion, counted from 1, so that the observation comes to what it should."""
    marks = {number: GivenMark(Marking.DONE) for number in range(1, len(criteria) + 1)}
    critical = [number for number, one in enumerate(criteria, 1) if one.critical]
    others = [number for number, one in enumerate(criteria, 1) if not one.critical]
    if how == THERE:
        if others and chance.random() < 0.3:
            marks[chance.choice(others)] = GivenMark(Marking.REMINDED)
        elif chance.random() < 0.08:
            marks[chance.choice(critical)] = GivenMark(Marking.ANOTHER_WAY, OWN_WAY)
        return marks
    if how == NOT_YET:
        marks[chance.choice(critical)] = GivenMark(chance.choice((Marking.REMINDED, Marking.HELPED, Marking.NOT_DONE)))
        if others:
            marks[chance.choice(others)] = GivenMark(Marking.HELPED)
        return marks
    marks[critical[-1]] = GivenMark(Marking.STOPPED if how == STOPPED else Marking.NOT_SEEN)
    return marks


def remark_for(how: str, chance: Random) -> str:
    """Return what the observer writes beside the marks; often nothing."""
    return chance.choice(REMARKS[how])
