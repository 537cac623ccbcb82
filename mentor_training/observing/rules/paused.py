"""What a stand-down means for observing: what stands on a day, and what a phone did not know of yet; pure."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import date, datetime

from mentor_training.evidence.corrections import effects
from mentor_training.evidence.facts import STOOD_DOWN, Fact
from mentor_training.observing.rules.results import GivenMark, Marking

ACTIVITY = "activity/"


def stand_downs_on(facts: Iterable[Fact], day: date) -> tuple[Fact, ...]:
    """Return the stand-downs of one volunteer that hold on a day."""
    gathered = tuple(facts)
    effect = effects(gathered)
    return tuple(
        fact
        for fact in gathered
        if fact.kind == STOOD_DOWN
        and fact.first_day <= day <= (fact.last_day or date.max)
        and effect.stands(fact.code, day)
        and not any(first <= day <= last for first, last in effect.lifted.get(fact.code, ()))
    )


def concerns(scope: str, station: str, activities: Collection[str]) -> bool:
    """Say whether a stand-down of a scope reaches a station; one from everything reaches everywhere."""
    return not scope or scope == station or (scope.startswith(ACTIVITY) and scope.removeprefix(ACTIVITY) in activities)


def unknown_stand_downs(
    standing: Iterable[Fact], known_at: datetime, station: str, activities: Collection[str], marks: Iterable[GivenMark]
) -> tuple[Fact, ...]:
    """Return the stand-downs that an observer could not have known of when an observation was written down.

    They are shown to the observer before it is taken, since a volunteer who pauses is not to be seen on the floor
    without anybody's knowing. What was stopped for safety is never held back. A rule of this program.
    """
    if any(mark.marking == Marking.STOPPED for mark in marks):
        return ()
    return tuple(fact for fact in standing if fact.recorded_at > known_at and concerns(fact.item, station, activities))
