"""Who may observe and sign off whom, and what an observer was on a day; pure. Rules of this program."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date

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

    `number` is its place in the order of entry; `skill` is a slug, or `*` for every skill.
    """

    number: int
    kind: str
    skill: str
    first_day: date
    last_day: date | None = None


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
    given = (fact for fact in facts if fact.kind == kind and fact.skill in (skill, EVERY_SKILL))
    return any(
        fact.first_day <= day
        and (fact.last_day is None or day <= fact.last_day)
        and not _is_cut(facts, fact, skill, day)
        for fact in given
    )


def _is_cut(facts: Iterable[StandingFact], given: StandingFact, skill: str, day: date) -> bool:
    return any(
        end.number > given.number
        and end.kind == ENDS[given.kind]
        and end.skill in (skill, EVERY_SKILL)
        and end.first_day <= day
        for end in facts
    )


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
