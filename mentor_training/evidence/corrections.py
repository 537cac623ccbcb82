"""What later records did to earlier ones, and how long a span of months lasts; pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import lru_cache

from dateutil.relativedelta import relativedelta

from mentor_training.evidence.facts import LIFTED, RESTRICTED, STOOD_DOWN, VOIDED, WITHDRAWN, Fact


@dataclass(frozen=True)
class Effect:
    """Which records were voided, and on which last day withdrawals and liftings cut others.

    `lifted` holds the spans for which a stand-down or restriction was lifted by a lifting that was itself withdrawn.
    """

    voided: frozenset[str]
    cut: Mapping[str, date]
    lifted: Mapping[str, Sequence[tuple[date, date]]] = field(default_factory=dict)

    def last(self, fact: Fact, *others: date | None) -> date | None:
        """Return the earliest of the record's stated last day, its cut, and other days; None when none is set."""
        return earliest(fact.last_day, self.cut.get(fact.code), *others)

    def stands(self, code: str, day: date) -> bool:
        """Say whether a record was neither voided nor withdrawn on or before a day."""
        return code not in self.voided and day <= self.cut.get(code, date.max)


def earliest(*days: date | None) -> date | None:
    """Return the earliest of the days that are set."""
    return min((day for day in days if day is not None), default=None)


@lru_cache(maxsize=65536)
def months_later(day: date, months: int | None) -> date | None:
    """Return the last day of so many calendar months, clamped to the end of a shorter month; None when not limited.

    29 Feb 2024 + 24 months = 28 Feb 2026: Regulation (EEC, Euratom) 1182/71, Art. 3(2)(c). Months are always added to
    the day itself: four steps of a year from 29 Feb 2024 would end on 28 Feb 2028, one step of four years on the 29th.
    """
    return None if months is None else day + relativedelta(months=months)


def effects(facts: Iterable[Fact]) -> Effect:
    """Return what the corrections among some records do to the others.

    A withdrawal from day W makes W - 1 the last day at the latest; a void makes the record never held. A correction
    that was voided, or withdrawn from its own first day or earlier, does nothing. A lifting that was withdrawn from a
    later day lifts through the day before it: from then on the stand-down holds again. A rule of this program.
    """
    facts = tuple(facts)
    known = {fact.code: fact for fact in facts}
    about = [fact for fact in facts if fact.refers_to and _can_be_about(fact, known.get(fact.refers_to))]
    voids: dict[str, list[str]] = {}
    for fact in about:
        if fact.refers_to and (fact.kind == VOIDED or _undoes(fact, known.get(fact.refers_to))):
            voids.setdefault(fact.refers_to, []).append(fact.code)
    voided = _voided(voids)
    standing = [fact for fact in about if fact.kind in (WITHDRAWN, LIFTED) and fact.code not in voided]
    cut: dict[str, date] = {}
    lifted: dict[str, list[tuple[date, date]]] = {}
    # A lifting may be cut by a withdrawal that was recorded after it, so withdrawals are looked at first.
    for fact in sorted(standing, key=lambda one: one.kind == LIFTED):
        through = fact.first_day - timedelta(days=1)
        if fact.kind == LIFTED and fact.code in cut:
            lifted.setdefault(fact.refers_to or "", []).append((fact.first_day, cut[fact.code]))
        else:
            cut[fact.refers_to or ""] = min(through, cut.get(fact.refers_to or "", through))
    return Effect(voided, cut, lifted)


def _can_be_about(fact: Fact, other: Fact | None) -> bool:
    """Say whether a correction fits what it is about: only stand-downs and restrictions are lifted."""
    return fact.kind != LIFTED or (other is not None and other.kind in (STOOD_DOWN, RESTRICTED))


def _undoes(fact: Fact, other: Fact | None) -> bool:
    """Say whether a withdrawal takes a correction back before it did anything."""
    corrects = other is not None and other.kind in (WITHDRAWN, VOIDED, LIFTED)
    return fact.kind == WITHDRAWN and corrects and other is not None and fact.first_day <= other.first_day


def _voided(voids: Mapping[str, Sequence[str]]) -> frozenset[str]:
    """Return the records that a void stands against; `voids` names for each record the voids about it.

    Whether a void stands is settled before what it is about, however many corrections rest on one another.
    """
    is_void: dict[str, bool] = {}
    for code in voids:
        way = {code: None}
        while way:
            here = next(reversed(way))
            unsettled = next((by for by in voids.get(here, ()) if by not in is_void and by not in way), None)
            if unsettled is not None:
                way[unsettled] = None
                continue
            is_void[here] = any(not is_void.get(by, False) for by in voids.get(here, ()))
            del way[here]
    return frozenset(code for code, found in is_void.items() if found)
