"""From evidence to spans: on which days a volunteer holds which item; pure.

Days are inclusive days in the program's zone. Everything handed in is known already: records and editions recorded
later than the moment asked about have been left out before.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from mentor_training.evidence.corrections import Effect, earliest, effects, months_later
from mentor_training.evidence.facts import (
    ATTENDED,
    COMPLETED,
    HOURS,
    MET,
    ON_FILE,
    PRACTICED,
    READ_CARD,
    RESTRICTED,
    SIGNED_OFF,
    STOOD_DOWN,
    WAIVED,
    Fact,
)
from mentor_training.program.catalog import Program
from mentor_training.program.editions import PublishedProgram, module_edition_on, retake_end

NEXT_DAY = timedelta(days=1)


@dataclass(frozen=True)
class Span:
    """An item is held from a day through a day, by a record; no last day means open."""

    item: str
    first: date
    last: date | None
    record: str
    waiver: bool = False

    def covers(self, day: date) -> bool:
        """Say whether it is held on a day."""
        return self.first <= day and (self.last is None or day <= self.last)


@dataclass(frozen=True)
class Pause:
    """A stand-down or a restriction: level 0 in its scope on its days. The scope is a station's slug, `activity/TAG`,
    or empty for everything.
    """

    record: str
    kind: str
    scope: str
    first: date
    last: date | None

    def covers(self, day: date) -> bool:
        """Say whether it is in force on a day."""
        return self.first <= day and (self.last is None or day <= self.last)


@dataclass(frozen=True)
class Counted:
    """Something that adds up from its day on: approved minutes of a category, or one session attended."""

    day: date
    what: str
    minutes: int
    last: date | None


@dataclass(frozen=True)
class History:
    """What one volunteer holds under one edition of the program, day by day."""

    spans: Mapping[str, tuple[Span, ...]]
    hours: tuple[Counted, ...]
    attended: tuple[Counted, ...]
    pauses: tuple[Pause, ...]

    def span_on(self, item: str, day: date) -> Span | None:
        """Return the span that holds an item on a day: a record before a waiver, the longest lasting first."""
        found = [span for span in self.spans.get(item, ()) if span.covers(day)]
        return max(found, key=lambda span: (not span.waiver, span.last or date.max), default=None)

    def minutes(self, category: str, day: date) -> int:
        """Return the approved minutes of a category up to and including a day."""
        return sum(
            one.minutes
            for one in self.hours
            if one.what == category and one.day <= day and (one.last is None or day <= one.last)
        )

    def sessions(self, day: date) -> int:
        """Return how many sessions were attended before a day."""
        return len({one.what for one in self.attended if one.day < day and (one.last is None or day <= one.last)})


def read_history(facts: Sequence[Fact], program: Program, editions: Sequence[PublishedProgram]) -> History:
    """Return what one volunteer's records mean under one edition; `editions` are all that are known."""
    effect = effects(facts)
    live = [fact for fact in facts if fact.code not in effect.voided]
    spans: dict[str, list[Span]] = {}
    for fact in live:
        for span in spans_of(fact, live, program, editions, effect):
            spans.setdefault(span.item, []).append(span)
    return History(
        {item: tuple(found) for item, found in spans.items()},
        tuple(_counted(fact, effect, _minutes(fact)) for fact in live if fact.kind == HOURS),
        tuple(_counted(fact, effect, 0) for fact in live if fact.kind == ATTENDED),
        tuple(pause for fact in live if fact.kind in (STOOD_DOWN, RESTRICTED) for pause in _pauses(fact, effect)),
    )


def _pauses(fact: Fact, effect: Effect) -> Iterator[Pause]:
    """Yield the days of a stand-down or restriction: from its first to its last, but those for which it was lifted."""
    first, last = fact.first_day, effect.last(fact)
    for lifted_from, lifted_through in sorted(effect.lifted.get(fact.code, ())):
        if first < lifted_from:
            yield Pause(fact.code, fact.kind, fact.item, first, earliest(last, lifted_from - NEXT_DAY))
        first = max(first, lifted_through + NEXT_DAY)
    if last is None or first <= last:
        yield Pause(fact.code, fact.kind, fact.item, first, last)


def _counted(fact: Fact, effect: Effect, minutes: int) -> Counted:
    return Counted(fact.first_day, fact.item, minutes, effect.cut.get(fact.code))


def _minutes(fact: Fact) -> int:
    return int(fact.note or 0)


def spans_of(
    fact: Fact, facts: Sequence[Fact], program: Program, editions: Sequence[PublishedProgram], effect: Effect
) -> list[Span]:
    """Return the spans that one record gives; what was cut off before its first day gives none."""
    found = _stated_spans(fact, facts, program, editions, effect)
    return [span for span in found if span.last is None or span.first <= span.last]


def _stated_spans(
    fact: Fact, facts: Sequence[Fact], program: Program, editions: Sequence[PublishedProgram], effect: Effect
) -> Iterable[Span]:
    if fact.kind == COMPLETED:
        return (_module_span(fact, program, editions, effect),)
    if fact.kind == SIGNED_OFF:
        return _skill_spans(fact, facts, program, effect)
    if fact.kind == ON_FILE:
        paper = program.papers.get(fact.item.removeprefix("paper/"))
        end = months_later(fact.first_day, paper.good_for_months if paper else None)
        return (Span(fact.item, fact.first_day, effect.last(fact, end), fact.code),)
    if fact.kind == READ_CARD:
        return (Span(fact.item, fact.first_day, effect.last(fact), fact.code),)
    if fact.kind == WAIVED and is_waivable(program, fact.item):
        return (Span(fact.item, fact.first_day, effect.last(fact), fact.code, waiver=True),)
    return ()


def is_waivable(program: Program, item: str) -> bool:
    """Say whether the item's file marks it waivable; only papers can be."""
    kind, _, slug = item.partition("/")
    paper = program.papers.get(slug) if kind == "paper" else None
    return bool(paper and paper.waivable)


def _module_span(fact: Fact, program: Program, editions: Sequence[PublishedProgram], effect: Effect) -> Span:
    """A module is held from its day through day + good_for_months, ended by editions that must be retaken."""
    item, _, edition = fact.item.partition("@")
    slug = item.removeprefix("module/")
    done = int(edition) if edition else module_edition_on(slug, fact.first_day, editions)
    module = program.modules.get(slug)
    end = months_later(fact.first_day, module.good_for_months if module else None)
    return Span(item, fact.first_day, effect.last(fact, end, retake_end(slug, done, editions)), fact.code)


def _skill_spans(fact: Fact, facts: Sequence[Fact], program: Program, effect: Effect) -> list[Span]:
    """A skill is held from its sign-off, as long as it is practiced where its file asks for practice."""
    skill = program.skills.get(fact.item.removeprefix("skill/"))
    own_last = effect.last(fact, months_later(fact.first_day, skill.good_for_months if skill else None))
    if skill is None or skill.practice_within_days is None:
        return [Span(fact.item, fact.first_day, own_last, fact.code)]
    practiced = _days(facts, PRACTICED, fact, effect)
    met = _days(facts, MET, fact, effect)
    return [
        Span(fact.item, first, last, fact.code)
        for first, last in practice_spans(fact.first_day, own_last, skill.practice_within_days, practiced, met)
    ]


def _days(facts: Sequence[Fact], kind: str, about: Fact, effect: Effect) -> list[date]:
    return sorted(
        fact.first_day
        for fact in facts
        if fact.kind == kind
        and fact.item == about.item
        and fact.first_day >= about.first_day
        and fact.first_day <= effect.cut.get(fact.code, date.max)
    )


def practice_spans(
    first: date, own_last: date | None, within_days: int, practiced: Sequence[date], met: Sequence[date]
) -> list[tuple[date, date]]:
    """Return the spans of a sign-off that wants practice within so many days.

    Held through sign-off + N; each practice day while it is held moves the end to that day + N, never past the own
    last day of the sign-off. Once it has ended for want of practice only a met observation starts another span of N
    days under the same sign-off. `practiced` and `met` are sorted days. A rule of this program.
    """
    limit = own_last or date.max
    reach = timedelta(days=within_days)

    def run_from(start: date) -> date:
        end = min(limit, start + reach)
        for day in practiced:
            if start <= day <= end:
                end = max(end, min(limit, day + reach))
        return end

    spans = [(first, run_from(first))]
    for day in met:
        if spans[-1][1] < day <= limit:
            spans.append((day, run_from(day)))
    return spans
