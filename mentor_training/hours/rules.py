"""Minutes as they were, hours as they are stated: spans, rounding, caps, sums; pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, tzinfo
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from mentor_training.people.permissions import COORDINATOR, COURSE_INSTRUCTOR, Actor
from mentor_training.program.catalog import CATEGORIES

SESSION, MODULE, BY_HAND, ADJUSTMENT = "session", "module", "by-hand", "adjustment"
# Made by itself where the record of approved minutes is voided or withdrawn later, or that is taken back.
TAKEN_BACK = "taken-back"
BY_HAND_CATEGORIES = ("orientation", "preparation")
_MINUTE = timedelta(minutes=1)
_HUNDREDTH = Decimal("0.01")


@dataclass(frozen=True)
class Rounding:
    """How hours are stated: `kind` is statement, clock or none; clock times are rounded to `step` minutes."""

    kind: str = "statement"
    step: int = 15


@dataclass(frozen=True)
class Entry:
    """One entry of the hours log. An adjustment names the entry it corrects and may be negative.

    Clock times, where there are any, are whole minutes in UTC. `approved_by`, the evidence's `record` and `statement`
    are empty until it has come so far.
    """

    id: int
    person: str
    category: str
    day: date
    minutes: int
    came: datetime | None = None
    left: datetime | None = None
    source: str = SESSION
    about: str = ""
    flag: str = ""
    reason: str = ""
    corrects: int | None = None
    entered_by: str = ""
    approved_by: str = ""
    record: str = ""
    statement: str = ""


# ---- spans ----


def to_the_minute(moment: datetime) -> datetime:
    """Return a moment in UTC with its seconds dropped, as a log keeps clock times. ValueError without an offset."""
    if moment.tzinfo is None:
        raise ValueError("a clock time needs a time zone")
    return moment.astimezone(UTC).replace(second=0, microsecond=0)


def elapsed_minutes(came: datetime, left: datetime) -> int:
    """Return the whole minutes that passed between two moments, across midnight and clock changes alike.

    Both are taken to UTC first: subtracting two local times of one zone would give what the wall clock shows, an hour
    too much on the night it goes forward. Negative when `left` is earlier. ValueError for a moment without an offset.
    """
    return (to_the_minute(left) - to_the_minute(came)) // _MINUTE


def approval_fault(by: Actor, person: str, sections: Iterable[str]) -> str:
    """Say why somebody may not approve or adjust a volunteer's hours, or nothing when they may.

    The instructor of the volunteer's section does, the coordinator for volunteers in no section, and nobody for
    themselves. A rule of this program.
    """
    mine = tuple(sections)
    if by.code == person:
        return "Nobody confirms their own hours; somebody else has to."
    if may_approve_in(by, mine):
        return ""
    who = f"the instructor of {' or '.join(mine)}" if mine else "the coordinator, as they are in no section"
    return f"The hours of {person} are confirmed by {who}."


def may_approve_in(by: Actor, sections: Iterable[str]) -> bool:
    """Say whether somebody approves hours for these sections; see `approval_fault`."""
    mine = set(sections)
    return (
        bool(mine & set(by.sections))
        if COURSE_INSTRUCTOR in by.roles and mine
        else COORDINATOR in by.roles and not mine
    )


# ---- corrections ----


def rests_on(entries: Iterable[Entry]) -> dict[int, int]:
    """Return, by the id of each entry, the first entry that it corrects, or itself; corrections come after it."""
    first: dict[int, int] = {}
    for one in sorted(entries, key=lambda one: one.id):
        first[one.id] = first.get(one.corrects, one.corrects) if one.corrects else one.id
    return first


def minutes_left(entries: Iterable[Entry]) -> Counter[int]:
    """Return what corrections left of each first entry, in minutes, by its id."""
    entries, left = tuple(entries), Counter[int]()
    first = rests_on(entries)
    for one in entries:
        left[first[one.id]] += one.minutes
    return left


# ---- rounding ----


def nearest(amount: int | Fraction, step: int) -> int:
    """Return the multiple of `step` (1 or more) nearest to an amount; a tie goes up, and for a negative amount down.

    So a correction that takes all of an entry back takes all of its rounded hours back. Not Python's `round`, which
    sends ties to the even side: 3 minutes are a tenth of an hour, not none.
    """
    whole = (abs(Fraction(amount)) / step + Fraction(1, 2)).__floor__() * step
    return whole if amount >= 0 else -whole


def nearest_clock_time(moment: datetime, step: int, zone: tzinfo) -> datetime:
    """Return a moment rounded to the nearest 5, 6 or 15 minutes of the clock in `zone`, half up, in UTC.

    29 CFR 785.48(b), which rounds starting and stopping times and not the time between, and says nothing of ties.
    """
    local = moment.astimezone(zone)
    past = Fraction(local.minute * 60 + local.second) / 60 + Fraction(local.microsecond, 60_000_000)
    return moment.astimezone(UTC) + timedelta(microseconds=int((nearest(past, step) - past) * 60_000_000))


def counted_minutes(entry: Entry, rounding: Rounding, zone: tzinfo) -> int:
    """Return the minutes of an entry that a statement sums up: as they were, or between rounded clock times."""
    if rounding.kind != "clock" or entry.came is None or entry.left is None:
        return entry.minutes
    came, left = (nearest_clock_time(moment, rounding.step, zone) for moment in (entry.came, entry.left))
    return elapsed_minutes(came, left)


def in_hours(minutes: int) -> Decimal:
    """Return minutes as hours to two decimals, half up away from zero; for showing, never for deciding."""
    return (Decimal(minutes) / 60).quantize(_HUNDREDTH, ROUND_HALF_UP)


def stated_hours(minutes: int, rounding: Rounding) -> Decimal:
    """Return the hours a statement gives for the sum of one category.

    By the rule `statement` the sum is rounded once, to the nearest quarter of an hour, half up: 1164 minutes are 19.40
    h and stated as 19.50 h. By the other two it is shown to two decimals. A rule of this program.
    """
    return in_hours(nearest(minutes, 15) if rounding.kind == "statement" else minutes)


def rule_in_words(rounding: Rounding) -> str:
    """Say how hours were rounded, as a statement prints it."""
    if rounding.kind == "statement":
        return (
            "Minutes are kept as they were. On a statement each volunteer's sum of a category is rounded once, "
            "to the nearest quarter of an hour, half up."
        )
    if rounding.kind == "clock":
        return (
            f"Each clock time is rounded to the nearest {rounding.step} minutes, half up, as 29 CFR 785.48(b) "
            "allows for employees. Sums are shown to two decimals."
        )
    return "Nothing is rounded. Hours are minutes divided by 60, shown to two decimals."


# ---- sums ----


def standing_of(entry: Entry, over: Mapping[int, int]) -> str:
    """Say in words how far an entry has come; `over` is what `over_the_caps` returned."""
    if entry.statement:
        return f"on {entry.statement}"
    if entry.approved_by:
        return "approved"
    if entry.id in over:
        return f"waits, {over[entry.id]} min over a cap"
    return "waits"


@dataclass(frozen=True)
class CategorySum:
    """What one volunteer has of one category, in minutes. `over` is the part of what waits that exceeds a cap."""

    category: str
    required: int = 0
    approved: int = 0
    waiting: int = 0
    over: int = 0

    @property
    def missing(self) -> int:
        """Return the minutes still to be approved before the requirement is met; 599 of 600 is not yet all of it."""
        return max(0, self.required - self.approved)

    @property
    def percent(self) -> int:
        """Return how much of the requirement is approved, in whole percent, rounded down: 100 only when it is met."""
        if not self.required:
            return 100
        return max(0, min(100, self.approved * 100 // self.required))


def sums_by_category(
    entries: Sequence[Entry], required: Mapping[str, int], over: Mapping[int, int], beside: Mapping[str, int]
) -> tuple[CategorySum, ...]:
    """Return the sums of each category that is required or has minutes, in the order of the categories.

    `over` is what `over_the_caps` returned; `beside` are approved minutes that the log does not hold: what came in by
    the register, less what was voided or withdrawn there.
    """
    approved, waiting, beyond = Counter(dict(beside)), Counter[str](), Counter[str]()
    for one in entries:
        (approved if one.approved_by else waiting)[one.category] += one.minutes
        beyond[one.category] += over.get(one.id, 0)
    seen = {*required, *approved, *waiting}
    return tuple(
        CategorySum(name, required.get(name, 0), approved[name], waiting[name], beyond[name])
        for name in sorted(seen, key=lambda name: (CATEGORIES.index(name) if name in CATEGORIES else 99, name))
    )
