"""Toward a course's requirement: what is done, what is coming, what is missing, by when; and credit; pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from statistics import median_low

from mentor_training.hours.rules import CategorySum

HOURS_PER_CREDIT = 45.0
# Before so many days of a term nobody's pace says anything.
EARLY_DAYS = 14
FARTHEST = timedelta(days=3660)
MET, WAITS, ON_COURSE, EARLY, WILL_MISS = "met", "waits", "on course", "early", "will miss"
OUTLOOKS = {
    MET: "met",
    WAITS: "done, and waits for approval",
    ON_COURSE: "on course",
    EARLY: "too early to say",
    WILL_MISS: "will miss it",
}


def credits_worth(minutes: int, hours_per_credit: float = HOURS_PER_CREDIT) -> Decimal:
    """Return how many credits so much work corresponds to, at so many hours each, cut to two decimals.

    34 CFR 600.2: an hour of class and two of other work, a week, for about fifteen weeks, which is 45 hours; a course
    may set another number. An hour has 60 minutes: 420 are 7 hours and not 8.4. Cut and not rounded, so that 134 h 59
    min are 2.99 credits and never 3.
    """
    hundredths = Fraction(max(0, minutes)) * 100 / (60 * Fraction(str(hours_per_credit)))
    return Decimal(int(hundredths)) / 100 + Decimal("0.00")


@dataclass(frozen=True)
class Span:
    """The days over which a requirement is to be met; no last day where no term says one."""

    first_day: date
    last_day: date | None = None


@dataclass(frozen=True)
class Ahead:
    """Where one volunteer stands in one category, in minutes. `waiting` leaves out what is over a cap.

    `by_plan` is the day of the planned session that meets the requirement, `by_pace` the day on which it would be met
    if it went on as it has gone since the first day; None where it would not.
    """

    category: str
    required: int
    approved: int
    waiting: int
    planned: int
    by_plan: date | None
    by_pace: date | None
    outlook: str

    @property
    def done(self) -> int:
        """Return what has been done, approved or not."""
        return self.approved + self.waiting

    @property
    def needed(self) -> int:
        """Return what has still to be approved; 1 where a single minute is missing."""
        return max(0, self.required - self.approved)

    @property
    def short(self) -> int:
        """Return what would be missing even if all that waits were approved and all that is planned were done."""
        return max(0, self.required - self.done - self.planned)


def ahead_of(one: CategorySum, planned: Iterable[tuple[date, int]], span: Span, on: date) -> Ahead:
    """Return where a volunteer stands in a category on a day; `planned` are the days and minutes to come.

    They will miss it when neither what is planned nor their pace brings them there by the last day. A rule of this
    program.
    """
    planned = sorted(planned)
    waiting = one.waiting - one.over
    done = one.approved + waiting
    by_plan = met_by_plan(one.required, done, planned)
    by_pace = met_by_pace(one.required, done, span.first_day, on)
    coming = sum(minutes for _, minutes in planned)
    outlook = _outlook(one, done, by_plan, by_pace, span, on)
    return Ahead(one.category, one.required, one.approved, waiting, coming, by_plan, by_pace, outlook)


def met_by_plan(required: int, done: int, planned: Iterable[tuple[date, int]]) -> date | None:
    """Return the day of the planned minutes with which a requirement is met; None where it is met or never would be."""
    if done >= required:
        return None
    for day, minutes in planned:
        done += minutes
        if done >= required:
            return day
    return None


def met_by_pace(required: int, done: int, first_day: date, on: date) -> date | None:
    """Return the first day on which a requirement is met if every day brings what the days so far brought on average.

    The days from the first through `on` count alike, weekends and holidays too. None where it is met, nothing has been
    done, or it would take more than ten years.
    """
    if done >= required or done <= 0 or on < first_day:
        return None
    days = (on - first_day).days + 1
    more = -(-(required - done) * days // done)
    return on + timedelta(days=more) if more <= FARTHEST.days else None


def _outlook(
    one: CategorySum, done: int, by_plan: date | None, by_pace: date | None, span: Span, on: date
) -> str:  # fmt: skip
    if one.approved >= one.required:
        return MET
    if done >= one.required:
        return WAITS
    if by_plan or (by_pace and span.last_day and by_pace <= span.last_day):
        return ON_COURSE
    if (on - span.first_day).days < EARLY_DAYS or (by_pace and not span.last_day):
        return EARLY
    return WILL_MISS


# ---- over a term ----


@dataclass(frozen=True)
class Week:
    """How far a section was at the end of a week, in minutes toward the requirement, and how many had met it."""

    last_day: date
    lowest: int
    middle: int
    highest: int
    met: int


def toward(required: Mapping[str, int], minutes: Mapping[str, int]) -> int:
    """Return the minutes that count toward a requirement: of each category no more than it asks for.

    All of it only when every category is met: what is over in one makes up for nothing in another.
    """
    return sum(max(0, min(minutes.get(name, 0), needed)) for name, needed in required.items())


def ends_of_weeks(span: Span, on: date) -> tuple[date, ...]:
    """Return the Sundays from the first day on, and last `on` or the last day; weeks begin on Monday (ISO 8601)."""
    last = min(on, span.last_day) if span.last_day else on
    sunday = span.first_day + timedelta(days=6 - span.first_day.weekday())
    found = []
    while sunday < last:
        found.append(sunday)
        sunday += timedelta(days=7)
    return (*found, last) if last >= span.first_day else ()


def weeks_of(
    required: Mapping[str, int], approved: Sequence[Sequence[tuple[date, str, int]]], ends: Iterable[date]
) -> tuple[Week, ...]:
    """Return how far some volunteers were at the ends of weeks.

    `approved` has for each of them the days, categories and minutes of what is approved. Empty without volunteers or
    without a requirement.
    """
    whole = sum(required.values())
    found = []
    for end in ends if approved and whole else ():
        counts = sorted(_through(required, one, end) for one in approved)
        found.append(Week(end, counts[0], median_low(counts), counts[-1], sum(one == whole for one in counts)))
    return tuple(found)


def _through(required: Mapping[str, int], approved: Iterable[tuple[date, str, int]], end: date) -> int:
    minutes: dict[str, int] = {}
    for day, category, more in approved:
        if day <= end:
            minutes[category] = minutes.get(category, 0) + more
    return toward(required, minutes)
