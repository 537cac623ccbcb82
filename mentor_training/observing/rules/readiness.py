"""When a skill is ready for sign-off, and what is still missing, in words and numbers; pure.

What a skill asks for is set in its own file. Why more observers beat more repetitions: a detailed checklist with two
assessors and two cases reached a generalizability of 0.81 (Barton et al., Gastrointestinal Endoscopy 2012).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from mentor_training.observing.rules.results import MET, NOT_COUNTABLE
from mentor_training.program.catalog import SignOffRule


@dataclass(frozen=True)
class Seen:
    """One observation as the readiness of a skill needs it; `number` is its place in the order of entry.

    `struck`: it, or its record, was taken back since, so that nothing in it counts, a stop neither.
    """

    number: int
    day: date
    observer: str
    result: str
    stopped: bool = False
    participant: str = ""
    live: bool = True
    struck: bool = False


@dataclass(frozen=True)
class Demand:
    """One thing that a sign-off asks for: how many there are, and how many it takes."""

    one: str
    several: str
    have: int
    want: int

    @property
    def is_met(self) -> bool:
        """Say whether there are enough."""
        return self.have >= self.want

    @property
    def text(self) -> str:
        """Say in words and numbers what is missing, or what is there."""
        so_far = f"{min(self.have, self.want)} of {self.want}"
        if self.is_met:
            return f"{so_far} {self.one if self.want == 1 else self.several}"
        more = self.want - self.have
        return f"{more} more {self.one if more == 1 else self.several} ({so_far} so far)"


@dataclass(frozen=True)
class Readiness:
    """Whether a skill is ready, by which observations, and every reason why it is not."""

    demands: tuple[Demand, ...]
    rests_on: tuple[int, ...]
    disagreeing: tuple[int, ...]
    began_again: date | None = None

    @property
    def is_ready(self) -> bool:
        """Say whether nothing is missing."""
        return all(demand.is_met for demand in self.demands)

    @property
    def missing(self) -> tuple[str, ...]:
        """Return every reason why it is not ready, in words and numbers; empty when it is."""
        return tuple(demand.text for demand in self.demands if not demand.is_met)

    @property
    def has_begun(self) -> bool:
        """Say whether an observation counts already."""
        return bool(self.rests_on)

    @property
    def gap(self) -> int:
        """Return the fewest observations that could still make it ready."""
        return max((demand.want - demand.have for demand in self.demands if not demand.is_met), default=0)


def readiness(rule: SignOffRule, history: Iterable[Seen], on: date) -> Readiness:
    """Say whether one volunteer's history of one skill makes it ready for sign-off on a day.

    Counted are the met observations up to that day, after the last stop, at most `fresh_days` old. It takes
    `observations` of them, on `days` different days, by `observers` different observers, with `participants` different
    participants, `live_at_least` of them live; and of all that can be counted, the last `met_in_a_row` are met. A stop
    sets the count back to zero, also one in an observation that itself cannot be counted. What was struck is as if it
    had never been seen. A rule of this program.
    """
    standing = (one for one in history if one.day <= on and not one.struck)
    in_order = sorted(standing, key=lambda one: (one.day, one.number))
    last_stop = max((place for place, one in enumerate(in_order) if one.stopped), default=-1)
    fresh = [one for one in in_order[last_stop + 1 :] if _counts(one) and (on - one.day).days <= rule.fresh_days]
    met = [one for one in fresh if one.result == MET]
    return Readiness(
        demands=tuple(demand for demand in _demands(rule, fresh, met) if demand.want > 0),
        rests_on=tuple(one.number for one in met),
        disagreeing=tuple(one.number for one in in_order if _disagrees(one) and (on - one.day).days <= rule.fresh_days),
        began_again=in_order[last_stop].day if last_stop >= 0 else None,
    )


def _counts(one: Seen) -> bool:
    return one.result != NOT_COUNTABLE


def _disagrees(one: Seen) -> bool:
    return one.stopped or (_counts(one) and one.result != MET)


def _demands(rule: SignOffRule, fresh: list[Seen], met: list[Seen]) -> tuple[Demand, ...]:
    participants = {one.participant for one in met if one.participant}
    return (
        Demand("met observation", "met observations", len(met), rule.observations),
        Demand("different day", "different days", len({one.day for one in met}), rule.days),
        Demand("different observer", "different observers", len({one.observer for one in met}), rule.observers),
        Demand("different participant", "different participants", len(participants), rule.participants),
        Demand("observation live and not simulated", "observations live and not simulated",
               sum(one.live for one in met), rule.live_at_least),
        Demand("met observation in a row at the end", "met observations in a row at the end",
               _met_at_the_end(fresh), rule.met_in_a_row),
    )  # fmt: skip


def _met_at_the_end(fresh: list[Seen]) -> int:
    count = 0
    for one in reversed(fresh):
        if one.result != MET:
            break
        count += 1
    return count
