"""What the marks of one observation come to: met, not yet, or not countable; pure.

The words of the scale and the result are rules of this program (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from mentor_training.program.catalog import Criterion, Policy


class Marking(StrEnum):
    """How one criterion was marked."""

    DONE = "done"
    ANOTHER_WAY = "another-way"
    REMINDED = "reminded"
    HELPED = "helped"
    NOT_DONE = "not-done"
    NOT_SEEN = "not-seen"
    STOPPED = "stopped"


MARK_WORDS: Mapping[str, str] = {
    Marking.DONE: "Done",
    Marking.ANOTHER_WAY: "Done another way",
    Marking.REMINDED: "Reminded",
    Marking.HELPED: "Helped",
    Marking.NOT_DONE: "Not done",
    Marking.NOT_SEEN: "Not seen",
    Marking.STOPPED: "Stopped",
}
MARK_MEANINGS: Mapping[str, str] = {
    Marking.DONE: "alone, with nothing said",
    Marking.ANOTHER_WAY: "by an approved method of their own; say which",
    Marking.REMINDED: "one short reminder, said once",
    Marking.HELPED: "pointed to it, showed it, or took over",
    Marking.NOT_DONE: "there was a chance, and it was not done",
    Marking.NOT_SEEN: "it did not come up, or you could not see it",
    Marking.STOPPED: "you stepped in for safety",
}
AS_DONE = frozenset({Marking.DONE, Marking.ANOTHER_WAY})
LONGEST_WAY = 300
NO_CRITERIA = "This skill has no criteria, so that nobody can be observed at it; the coordinator can have them written."

MET = "met"
NOT_YET = "not-yet"
NOT_COUNTABLE = "not-countable"
RESULT_WORDS: Mapping[str, str] = {MET: "Met", NOT_YET: "Not yet", NOT_COUNTABLE: "Not counted"}

CRITICAL_NOT_SEEN = "critical-not-seen"
LATE = "late"
NOT_CALIBRATED = "not-calibrated"
NOT_ENTITLED = "not-entitled"


@dataclass(frozen=True)
class GivenMark:
    """The mark on one criterion as it was given; `way` says which other way."""

    marking: str
    way: str = ""


@dataclass(frozen=True)
class Circumstances:
    """What, beside the marks, decides whether an observation counts.

    `days_late` are the days from its day to its entry; the rest is what the observer was on its day.
    """

    days_late: int
    calibrated: bool
    entitled: bool


@dataclass(frozen=True)
class Outcome:
    """What an observation came to. A stop and a missed critical criterion are said whether or not it counts."""

    result: str
    not_counted: tuple[str, ...] = ()
    stopped: bool = False
    missed_critical: bool = False


def objections_to_criteria(criteria: Sequence[Criterion]) -> tuple[str, ...]:
    """Return why a skill with these criteria cannot be observed; empty when it can. A rule of this program."""
    return () if criteria else (NO_CRITERIA,)


def mark_faults(criteria: Sequence[Criterion], given: Mapping[int, GivenMark]) -> dict[int, str]:
    """Return what is wrong with the marks, by the number of the criterion (from 1); empty when every one is marked.

    There is no default and no way to mark all at once: a mark that is missing is a fault. A rule of this program.
    """
    faults = {number: _fault(given.get(number)) for number in range(1, len(criteria) + 1)}
    beyond = {number: "there is no such criterion" for number in given if number not in faults}
    return {number: fault for number, fault in faults.items() if fault} | beyond


def _fault(mark: GivenMark | None) -> str:
    if mark is None or not mark.marking:
        return "Mark this one too; choose Not seen if it did not come up."
    if mark.marking not in MARK_WORDS:
        return f"{mark.marking!r} is no mark; the marks are {', '.join(MARK_WORDS)}."
    if mark.marking == Marking.ANOTHER_WAY and not mark.way.strip():
        return "Say which other way it was done."
    if len(mark.way) > LONGEST_WAY:
        return f"Say the other way in at most {LONGEST_WAY} characters; there are {len(mark.way)}."
    return ""


def outcome(
    criteria: Sequence[Criterion], marks: Sequence[Marking], circumstances: Circumstances, policy: Policy
) -> Outcome:
    """Return what an observation comes to; `marks` stand in the order of the criteria, one for each.

    Not countable: a critical criterion not seen, entered more than `late_after_days` after its day, or the observer
    not calibrated or not entitled on that day. Else met: every critical criterion done or done another way, none
    stopped, at most `reminders` of the others reminded, and at least `done_share` of the others that were seen done,
    done another way or reminded. Else not yet, and so where nothing at all was seen. Raises ValueError where marks and
    criteria do not match.
    A rule of this program.
    """
    if len(marks) != len(criteria):
        raise ValueError(f"{len(marks)} marks for {len(criteria)} criteria")
    critical = [mark for mark, criterion in zip(marks, criteria, strict=True) if criterion.critical]
    others = [mark for mark, criterion in zip(marks, criteria, strict=True) if not criterion.critical]
    stopped = Marking.STOPPED in marks
    missed = any(mark not in AS_DONE and mark is not Marking.NOT_SEEN for mark in critical)
    reasons = _why_not_counted(critical, circumstances, policy)
    if reasons:
        return Outcome(NOT_COUNTABLE, reasons, stopped, missed)
    # Where no criterion is critical, shares of nothing would come to met.
    seen = any(mark is not Marking.NOT_SEEN for mark in marks)
    met = seen and not missed and not stopped and _others_suffice(others, policy)
    return Outcome(MET if met else NOT_YET, (), stopped, missed)


def _why_not_counted(critical: Sequence[Marking], found: Circumstances, policy: Policy) -> tuple[str, ...]:
    reasons = {
        CRITICAL_NOT_SEEN: Marking.NOT_SEEN in critical,
        LATE: found.days_late > policy.late_after_days,
        NOT_CALIBRATED: not found.calibrated,
        NOT_ENTITLED: not found.entitled,
    }
    return tuple(reason for reason, holds in reasons.items() if holds)


def _others_suffice(others: Sequence[Marking], policy: Policy) -> bool:
    seen = [mark for mark in others if mark is not Marking.NOT_SEEN]
    reminded = seen.count(Marking.REMINDED)
    done = sum(mark in AS_DONE for mark in seen)
    # Exact: 0.7 of 10 is 7 and not a little more, as it would be in binary fractions.
    return reminded <= policy.reminders and done + reminded >= Fraction(str(policy.done_share)) * len(seen)


def not_counted_in_words(reason: str, policy: Policy) -> str:
    """Say why an observation was kept but not counted."""
    return {
        CRITICAL_NOT_SEEN: "A critical criterion was not seen.",
        LATE: f"It was entered more than {policy.late_after_days} days after its day.",
        NOT_CALIBRATED: "Observer calibration due: the observer was not calibrated on that day.",
        NOT_ENTITLED: "The observer was not entitled to this skill on that day.",
    }[reason]


def to_see_again(criteria: Sequence[Criterion], marks: Sequence[Marking]) -> tuple[Criterion, ...]:
    """Return the criteria to be seen again, critical ones first: all that were neither done nor done another way."""
    left = [criterion for criterion, mark in zip(criteria, marks, strict=True) if mark not in AS_DONE]
    return tuple(sorted(left, key=lambda criterion: not criterion.critical))
