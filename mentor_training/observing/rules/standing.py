"""Who may observe and sign off whom, and what an observer was on a day; pure. Rules of this program."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, timedelta

CALIBRATED = "calibrated"
ENTITLED = "entitled"
NOT_CALIBRATED = "not-calibrated"
NOT_ENTITLED = "not-entitled"
GIVEN = (CALIBRATED, ENTITLED)
ENDS = {CALIBRATED: NOT_CALIBRATED, ENTITLED: NOT_ENTITLED}
EVERY_SKILL = "*"


@dataclass(frozen=True)
class StandingFact:
    """One entry about an observer: `calibrated` or `entitled` for its days, or the end of it from its first day on.

    `number` is its place in the order of entry; `skill` is a slug, or `*` for every skill; `calibration` is the set on
    whose result it rests, where it rests on one.
    """

    number: int
    kind: str
    skill: str
    first_day: date
    last_day: date | None = None
    calibration: int | None = None


@dataclass(frozen=True)
class Between:
    """What stands between an observer and a volunteer."""

    observer: str
    volunteer: str
    conflicts: Collection[str] = ()
    partners: Collection[str] = ()


def stands(facts: Collection[StandingFact], kind: str, skill: str, day: date) -> bool:
    """Say whether an observer was calibrated, or entitled to a skill, on a day.

    Entries add up. An end entered later cuts what was entered before it, from its own first day on; what is entered
    after an end stands for itself.
    """
    return holding(facts, kind, skill, day) is not None


@dataclass(frozen=True)
class Holding:
    """The entry by which an observer is something on a day, and through when it holds; None: until it is ended."""

    fact: StandingFact
    last_day: date | None


def holding(facts: Collection[StandingFact], kind: str, skill: str, day: date) -> Holding | None:
    """Return the entry that holds on a day, of several the one that holds longest, then the newest."""
    given = (fact for fact in facts if fact.kind == kind and fact.skill in (skill, EVERY_SKILL))
    found = (Holding(fact, _end(facts, fact, skill)) for fact in given)
    held = [one for one in found if one.fact.first_day <= day <= (one.last_day or date.max)]
    return max(held, key=lambda one: (one.last_day or date.max, one.fact.number), default=None)


def _end(facts: Iterable[StandingFact], given: StandingFact, skill: str) -> date | None:
    """Return the last day of an entry, cut by the first end that was entered after it."""
    cuts = (
        end.first_day - timedelta(days=1)
        for end in facts
        if end.number > given.number and end.kind == ENDS[given.kind] and end.skill in (skill, EVERY_SKILL)
    )
    return min([*cuts, *([given.last_day] if given.last_day else [])], default=None)


def objections_to_observing(between: Between) -> tuple[str, ...]:
    """Return why this observer may not observe this volunteer; empty when they may."""
    reasons = {
        "Nobody observes or signs off themselves; ask another observer.": between.observer == between.volunteer,
        "The two of you are paired with each other; another observer has to see this.": (
            between.volunteer in between.partners
        ),
        "This volunteer is on your conflict list; another observer has to see this.": (
            between.volunteer in between.conflicts
        ),
    }
    return tuple(reason for reason, holds in reasons.items() if holds)


def objections_to_sign_off(between: Between, entitled: bool) -> tuple[str, ...]:
    """Return why this observer may not sign this volunteer off; empty when they may."""
    reason = "You are not entitled to sign this skill off today; the coordinator keeps the list of who is."
    return objections_to_observing(between) + (() if entitled else (reason,))
