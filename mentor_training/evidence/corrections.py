"""What later records did to earlier ones, and how long a span of months lasts; pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

from dateutil.relativedelta import relativedelta

from mentor_training.evidence.facts import LIFTED, RESTRICTED, STOOD_DOWN, VOIDED, WITHDRAWN, Fact


@dataclass(frozen=True)
class Effect:
    """Which records were voided, and on which last day withdrawals and liftings cut others."""

    voided: frozenset[str]
    cut: Mapping[str, date]

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
    that was voided itself does nothing. A rule of this program.
    """
    facts = tuple(facts)
    pauses = {fact.code for fact in facts if fact.kind in (STOOD_DOWN, RESTRICTED)}
    about = [fact for fact in facts if fact.refers_to and (fact.kind != LIFTED or fact.refers_to in pauses)]
    voids: dict[str, list[str]] = {}
    for fact in about:
        if fact.kind == VOIDED and fact.refers_to:
            voids.setdefault(fact.refers_to, []).append(fact.code)
    voided = _voided(voids)
    cut: dict[str, date] = {}
    for fact in about:
        if fact.kind in (WITHDRAWN, LIFTED) and fact.code not in voided and fact.refers_to:
            last = fact.first_day - timedelta(days=1)
            cut[fact.refers_to] = min(last, cut.get(fact.refers_to, last))
    return Effect(voided, cut)


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
