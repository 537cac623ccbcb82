"""From when to when the completion of a module counts, and from when on a finished module may be done again."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from mentor_training.evidence.corrections import Effect, effects, months_later
from mentor_training.evidence.facts import COMPLETED, Fact
from mentor_training.program.catalog import Module
from mentor_training.program.editions import PublishedProgram, module_edition_on, retake_end

RENEWAL_DAYS = 30


@dataclass(frozen=True)
class Completion:
    """One completion of one edition of a module.

    Days are inclusive; no last day means open. `reopens_at` is the moment from which reading and passing count
    towards the next completion: None where this one does not end. `void`: it never counted.
    """

    record: str
    edition: int
    first_day: date
    last_day: date | None
    reopens_at: datetime | None
    void: bool = False

    @property
    def ever_counted(self) -> bool:
        """Say whether it counted on any day: not where it is void, or was withdrawn from its first day or earlier."""
        return not self.void and (self.last_day is None or self.first_day <= self.last_day)

    def covers(self, day: date) -> bool:
        """Say whether it counts on a day."""
        return not self.void and self.first_day <= day and (self.last_day is None or day <= self.last_day)


def completions(
    module: Module, facts: Sequence[Fact], editions: Sequence[PublishedProgram], zone: ZoneInfo
) -> tuple[Completion, ...]:
    """Return a volunteer's completions of a module, whatever the edition, in the order in which they were recorded.

    Each counts through its day + `good_for_months`, a stated last day, the day before a withdrawal takes effect, or
    for an earlier edition the effective day + `grace_days` of the later one that must be retaken; whichever comes
    first. Rules of this program.
    """
    effect, item = effects(facts), f"module/{module.slug}"
    return tuple(
        _completion(fact, module, editions, effect, _corrected_at(fact, facts, effect), zone)
        for fact in facts
        if fact.kind == COMPLETED and fact.item.partition("@")[0] == item
    )


def _completion(
    fact: Fact,
    module: Module,
    editions: Sequence[PublishedProgram],
    effect: Effect,
    corrected_at: datetime | None,
    zone: ZoneInfo,
) -> Completion:
    edition = _edition_of(fact, module.slug, editions)
    good_through = months_later(fact.first_day, module.good_for_months)
    last = effect.last(fact, good_through, retake_end(module.slug, edition, editions))
    reopens = corrected_at or _renewal_opens(last, zone)
    return Completion(fact.code, edition, fact.first_day, last, reopens, fact.code in effect.voided)


def _corrected_at(fact: Fact, facts: Sequence[Fact], effect: Effect) -> datetime | None:
    against = [one for one in facts if one.refers_to == fact.code and one.code not in effect.voided]
    return min((one.recorded_at for one in against), default=None)


def _edition_of(fact: Fact, slug: str, editions: Sequence[PublishedProgram]) -> int:
    """Return the module's edition that a completion is of: the one it names, else the one in force on its first day."""
    _, _, named = fact.item.partition("@")
    return int(named) if named else module_edition_on(slug, fact.first_day, editions)


def _renewal_opens(last_day: date | None, zone: ZoneInfo) -> datetime | None:
    return datetime.combine(last_day - timedelta(days=RENEWAL_DAYS), time.min, zone) if last_day else None


def counting(found: Iterable[Completion], day: date) -> Completion | None:
    """Return, of the completions that count on a day, the one that counts longest."""
    standing = [one for one in found if one.covers(day)]
    return max(standing, key=lambda one: one.last_day or date.max, default=None)


@dataclass(frozen=True)
class Round:
    """Whether a module's edition can be completed now, and since when reading and passing count for it (None: ever)."""

    is_open: bool
    since: datetime | None = None

    def counts(self, moment: datetime) -> bool:
        """Say whether what was done at a moment counts."""
        return self.since is None or moment >= self.since


def current_round(found: Iterable[Completion], edition: int, now: datetime) -> Round:
    """Return the present round of an edition. A rule of this program.

    It is completed once; again only from 30 days before that completion ends, or once it was withdrawn, and then it
    is read and passed anew.
    """
    reopens = [one.reopens_at for one in found if one.edition == edition]
    if not reopens:
        return Round(is_open=True)
    past = [moment for moment in reopens if moment is not None and moment <= now]
    return Round(is_open=True, since=max(past)) if len(past) == len(reopens) else Round(is_open=False)
