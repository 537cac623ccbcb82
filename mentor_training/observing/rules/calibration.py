"""Staged performances scored against an agreed key: what is right, what was missed, who passes; pure.

That an observer passes with so large a share of exactly the same marks and with no unsafe act missed is a rule of this
program. The share is the policy's; 80 percent is what methods texts usually name as the least (McHugh, Biochem Med
2012;22:276-282; from memory, check against the current original).
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from mentor_training.observing.rules.results import AS_DONE, MARK_WORDS, Marking
from mentor_training.program.catalog import Criterion

MOST_PERFORMANCES = 8
MOST_ACCEPTED = 2
AGREEING = 2
LONGEST_TITLE = 200
LONGEST_LINE = 300
LONGEST_REASON = 2000
RETIRED = "This set was retired; nobody scores it or is called calibrated on it any more."
NOT_ONESELF = "Nobody calls themselves calibrated; another coordinator has to."
UNDONE = frozenset({Marking.REMINDED, Marking.HELPED, Marking.NOT_DONE, Marking.STOPPED})


@dataclass(frozen=True, order=True)
class Spot:
    """One criterion of one performance, both by their number from 1."""

    performance: int
    criterion: int


@dataclass(frozen=True)
class KeyMark:
    """What was agreed about one criterion of a performance: each of the `accepted` marks is right."""

    spot: Spot
    accepted: tuple[str, ...]
    critical: bool

    @property
    def is_unsafe_act(self) -> bool:
        """Say whether the key leaves no doubt that a critical criterion was not done, or that somebody stepped in."""
        if self.critical:
            return UNDONE.issuperset(self.accepted)
        return set(self.accepted) == {Marking.STOPPED}


@dataclass(frozen=True)
class Difference:
    """A criterion that an observer marked otherwise than the key."""

    key: KeyMark
    own: str

    @property
    def is_missed_act(self) -> bool:
        """Say whether an unsafe act was taken for done, or was not seen."""
        return self.key.is_unsafe_act and self.own not in UNDONE


@dataclass(frozen=True)
class CalibrationResult:
    """How one observer stands to the key: `alike` of all `criteria`; `acts` counts the unsafe acts in the key."""

    criteria: int
    acts: int
    differences: tuple[Difference, ...]
    least_share: float

    @property
    def alike(self) -> int:
        """Return how many criteria were marked as the key says."""
        return self.criteria - len(self.differences)

    @property
    def share(self) -> Fraction:
        """Return the share of criteria marked as the key says, 0 to 1."""
        return Fraction(self.alike, self.criteria)

    @property
    def missed(self) -> tuple[Difference, ...]:
        """Return the unsafe acts that were missed."""
        return tuple(one for one in self.differences if one.is_missed_act)

    @property
    def has_share(self) -> bool:
        """Say whether enough was marked as the key says. Exact: 0.8 of 40 is 32 and not a little more."""
        return self.share >= Fraction(str(self.least_share))

    @property
    def passed(self) -> bool:
        """Say whether the observer passes: enough alike, and no unsafe act missed."""
        return self.has_share and not self.missed


def held_to_key(key: Sequence[KeyMark], own: Mapping[Spot, str], least_share: float) -> CalibrationResult:
    """Hold an observer's marks to the key; not seen is a mark like any other. ValueError where one is missing, or all.

    `least_share` runs from 0 to 1.
    """
    if not key or any(one.spot not in own for one in key):
        raise ValueError("every criterion of the key needs a mark, and a key has criteria")
    differences = tuple(Difference(one, own[one.spot]) for one in key if own[one.spot] not in one.accepted)
    return CalibrationResult(len(key), sum(one.is_unsafe_act for one in key), differences, least_share)


def why_it_matters(found: Difference) -> str:
    """Say what a difference would have come to on the floor."""
    own, right = found.own, frozenset(found.key.accepted)
    if found.is_missed_act:
        return _why_missed(own)
    if own == Marking.NOT_SEEN:
        return "It could be seen here; not seen leaves it open, and a critical one makes the whole look not count."
    if Marking.NOT_SEEN in right:
        return "It did not come up here; what nobody could see is neither done nor missed."
    if Marking.STOPPED in {own, *right}:
        return "Stopped is for the moment an observer steps in for safety: it sets the count back, and opens a review."
    if own in AS_DONE and right <= AS_DONE:
        return "Both count as done; which of the two it was says whether a method of their own was agreed."
    if own in AS_DONE:
        return "It was not done alone; marked as done, nobody would practice it with the mentor."
    if right <= AS_DONE:
        return "It was done; marked otherwise, the mentor hears not yet for what was there."
    return "Neither is done alone; how much help it took says what is practiced next."


def _why_missed(own: str) -> str:
    if own == Marking.NOT_SEEN:
        return "An unsafe act was not seen: on the floor nobody would have stepped in or said a word about it."
    return "An unsafe act was taken for done: on the floor it would have counted toward a sign-off."


@dataclass(frozen=True)
class Performance:
    """One performance of a set: what it is called, which skill, what is played, and where it lies or who plays it."""

    title: str
    skill: str
    played: str
    source: str


def objections_to_set(
    title: str, performances: Sequence[Performance], criteria: Mapping[str, Sequence[Criterion]]
) -> tuple[str, ...]:
    """Return what is wrong with a set; `criteria` are those of each skill of the program."""
    reasons = [] if title.strip() else ["Write what the set is called."]
    if len(title) > LONGEST_TITLE:
        reasons.append(f"The title has {len(title)} characters; {LONGEST_TITLE} are the most.")
    if not 1 <= len(performances) <= MOST_PERFORMANCES:
        reasons.append(f"A set has 1 to {MOST_PERFORMANCES} performances; this one has {len(performances)}.")
    for number, one in enumerate(performances, 1):
        reasons += [f"Performance {number}: {reason}" for reason in _objections_to_performance(one, criteria)]
    return tuple(reasons)


def _objections_to_performance(one: Performance, criteria: Mapping[str, Sequence[Criterion]]) -> list[str]:
    lines = {"what it is called": one.title, "what is played": one.played, "where it lies or who plays it": one.source}
    reasons = [f"write {what}." for what, line in lines.items() if not line.strip()]
    reasons += [
        f"{what} has {len(line)} characters; {LONGEST_LINE} are the most."
        for what, line in lines.items()
        if len(line) > LONGEST_LINE
    ]
    if not criteria.get(one.skill):
        reasons.append(f"there is no skill {one.skill!r} with criteria in the program.")
    return reasons


def accepted_faults(criteria: int, given: Mapping[int, tuple[str, ...]]) -> dict[int, str]:
    """Return what is wrong with the key of one performance, by the number of the criterion (from 1)."""
    faults = {number: _accepted_fault(given.get(number, ())) for number in range(1, criteria + 1)}
    beyond = {number: "there is no such criterion" for number in given if number not in faults}
    return {number: fault for number, fault in faults.items() if fault} | beyond


def _accepted_fault(accepted: tuple[str, ...]) -> str:
    if not accepted:
        return "Agree on a mark for this one too; choose Not seen if it does not come up."
    if unknown := [mark for mark in accepted if mark not in MARK_WORDS]:
        return f"{unknown[0]!r} is no mark; the marks are {', '.join(MARK_WORDS)}."
    if len(accepted) > MOST_ACCEPTED or len(set(accepted)) < len(accepted):
        return "The key has one mark, or either of two different ones."
    return ""


def objections_to_agreeing(
    agreed_by: Sequence[str], able: Collection[str], scored: bool, retired: bool = False
) -> tuple[str, ...]:
    """Return why a key may not be agreed; `able` may agree on one, `scored` says that somebody has scored already."""
    reasons = {
        RETIRED: retired,
        "Somebody has scored against this key, so it stays as it is; make a new set instead.": scored,
        f"A key is agreed by {AGREEING} different people; choose both.": (
            len(agreed_by) != AGREEING or len(set(agreed_by)) < AGREEING
        ),
        "Observers, course instructors and coordinators agree on keys.": not set(agreed_by) <= set(able),
    }
    return tuple(reason for reason, holds in reasons.items() if holds)


@dataclass(frozen=True)
class Progress:
    """How far one observer is with a set: `known_to` are those who know its key, `left` the performances to score.

    A retired set is scored by nobody any more.
    """

    observer: str
    known_to: Collection[str]
    without_key: Collection[int]
    first_day: date
    left: Collection[int]
    is_closed: bool
    is_retired: bool = False


def objections_to_scoring(found: Progress, today: date) -> tuple[str, ...]:
    """Return why an observer may not score a performance of a set; empty when they may."""
    reasons = {
        "You know the key of this set, so that it cannot say how you mark; score another one.": (
            found.observer in found.known_to
        ),
        "The key of this set is not agreed yet; it can be scored once it is.": bool(found.without_key),
        f"This set is for {found.first_day} and later.": today < found.first_day,
        "You have closed this set; what you marked stays as it is.": found.is_closed,
        RETIRED: found.is_retired,
    }
    return tuple(reason for reason, holds in reasons.items() if holds)


def objections_to_closing(found: Progress, today: date) -> tuple[str, ...]:
    """Return why an observer may not close a set; empty when they may."""
    numbers = ", ".join(map(str, sorted(found.left)))
    missing = (f"Score what is left first: {numbers}.",) if found.left else ()
    return objections_to_scoring(found, today) + missing


def objections_to_retiring(reason: str, is_retired: bool) -> tuple[str, ...]:
    """Return why a set may not be retired: with no reason, or a second time."""
    reasons = {
        "Write why it is retired, such as what is wrong with its key; it stays with the set.": not reason.strip(),
        f"The reason has {len(reason)} characters; {LONGEST_REASON} are the most.": len(reason) > LONGEST_REASON,
        "This set was retired already.": is_retired,
    }
    return tuple(reason for reason, holds in reasons.items() if holds)


def objections_to_calibrating(
    result: CalibrationResult | None, by: str, observer: str, given: bool, first_day: date, last_day: date,
    retired: bool = False,
) -> tuple[str, ...]:  # fmt: skip
    """Return why an observer may not be called calibrated on a result; None: they have not closed the set.

    `given` says that a standing rests on it already, `retired` that the set was retired.
    """
    reasons = {
        RETIRED: retired,
        "They have not closed this set yet.": result is None,
        "They did not pass this set: retrain, then have them score another one.": (
            result is not None and not result.passed
        ),
        NOT_ONESELF: by == observer,
        "A standing rests on this result already.": given,
        f"It would end on {last_day}, before it begins on {first_day}.": last_day < first_day,
    }
    return tuple(reason for reason, holds in reasons.items() if holds)


def objections_to_calibrating_without(reason: str, by: str, observer: str) -> tuple[str, ...]:
    """Return why an observer may not be called calibrated without a calibration: it wants a reason, and another person.

    What they see counts from then on, and no marks show why it should. A rule of this program.
    """
    reasons = {
        "Write why they are calibrated without a calibration, such as where they were calibrated.": not reason.strip(),
        f"The reason has {len(reason)} characters; {LONGEST_REASON} are the most.": len(reason) > LONGEST_REASON,
        NOT_ONESELF: by == observer,
    }
    return tuple(reason for reason, holds in reasons.items() if holds)


def proposed_last_day(today: date, session_days: Collection[date]) -> date:
    """Return through when an observer would be called calibrated: the last session planned, else half a year on.

    A rule of this program: observers are calibrated anew before each term.
    """
    ahead = [day for day in session_days if day > today]
    return max(ahead, default=today + timedelta(days=182))
