"""From when to when a paper on file is in force, when its end is noticed, and what its dates may be; pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from mentor_training.evidence.corrections import earliest, months_later
from mentor_training.evidence.facts import EARLIEST, LATEST

IN_FORCE = "in-force"
ENDED = "ended"
NOT_BEGUN = "not-begun"
NOT_ON_FILE = "not-on-file"

PRINTED, MONTHS, NEITHER = "printed", "months", "neither"
# Why a scan was deleted: every paper it showed was decided on, none was in time, or no paper shows it.
DECIDED, UNVERIFIED, UNUSED = "decided", "unverified", "unused"

# How many days before its end a paper is noticed; the trade's 60, 30, 14, 7 and 1.
NOTICE_DAYS = (60, 30, 14, 7, 1)


@dataclass(frozen=True)
class OnFile:
    """A verified paper, or a waiver for it, from its first day through its last; no last day means open."""

    first: date
    last: date | None
    waiver: bool = False

    def covers(self, day: date) -> bool:
        """Say whether it is in force on a day."""
        return self.first <= day and (self.last is None or day <= self.last)


@dataclass(frozen=True)
class PaperState:
    """How a paper stands on a day: `in-force` through `day` (None: open), `ended` on it, `not-begun` before it."""

    kind: str
    day: date | None = None
    waiver: bool = False

    def ends_within(self, on: date, days: int) -> bool:
        """Say whether it is in force on a day and ends at most so many days later."""
        return self.kind == IN_FORCE and self.day is not None and self.day <= on + timedelta(days=days)


@dataclass(frozen=True)
class Notice:
    """That a paper ends soon: which of the steps, how many days are left (0: it is its last day), what is done.

    `waits` says that a later one is on file already and waits to be verified: nobody is to be sent after it again.
    """

    step: int
    left: int
    waits: bool = False


def notice_on(ends: date | None, on: date, waits: bool = False) -> Notice | None:
    """Return the notice that is due on a day: the smallest step not less than the days left.

    None more than 60 days before the end, after it, and for what has no end. A renewal in force moves the end, and with
    it the notice. A rule of this program on the trade's steps.
    """
    left = (ends - on).days if ends else -1
    steps = [step for step in NOTICE_DAYS if step >= left >= 0]
    return Notice(min(steps), left, waits) if steps else None


def end_of(issued: date, stated: date | None, good_for_months: int | None) -> date | None:
    """Return the last day of a paper: its stated last day, cut at issue plus so many months; None when neither is set.

    Months are calendar months clamped to the end of a shorter one: Regulation (EEC, Euratom) 1182/71, Art. 3(2)(c),
    as repeated in a parallel-text corpus; check against the current original.
    """
    return earliest(stated, months_later(issued, good_for_months))


@dataclass(frozen=True)
class End:
    """The last day of a paper (None: open) and what decides it: the day that is printed, the months, or neither.

    `by_months` is the day to which the program's months would cut it; None where the program sets none.
    """

    day: date | None
    by: str
    by_months: date | None


def what_ends(issued: date, printed: date | None, good_for_months: int | None) -> End:
    """Say which of the two ends a paper, as `end_of` counts; the printed day wins wherever it is not the later one."""
    day, by_months = end_of(issued, printed, good_for_months), months_later(issued, good_for_months)
    return End(day, PRINTED if printed and day == printed else MONTHS if day else NEITHER, by_months)


@dataclass(frozen=True)
class Seen:
    """What the coordinator saw on a paper: its dates as printed, and whether the hands-on part was seen or confirmed.

    `hands_on` is None where nobody was asked.
    """

    issued: date | None
    last_day: date | None = None
    hands_on: bool | None = None


def verification_faults(today: date, seen: Seen, asks_hands_on: bool) -> dict[str, str]:
    """Return what keeps a paper from being verified, by field: its dates, and `hands_on` where its file asks for it.

    A paper that asks for the hands-on part counts only where that was seen on it or confirmed: a course taken online
    alone does not. A rule of the trade.
    """
    faults = date_faults(today, seen.issued, seen.last_day)
    if asks_hands_on and seen.hands_on is None:
        faults["hands_on"] = "Answer it: without the hands-on part the paper does not count."
    elif asks_hands_on and not seen.hands_on:
        faults["hands_on"] = "Without the hands-on part it cannot be verified; decline it, and the volunteer reads why."
    return faults


def deletion_of(put: date, decided: Sequence[date | None], kept_days: int, waits_days: int) -> tuple[date, str]:
    """Return from which day on a scan is deleted, and why.

    `decided` are the days on which the papers that it shows were verified or declined, None for one that waits. When
    all are, `kept_days` after the last of them (0: at once). While one waits, `waits_days` after it was put there. One
    that no paper shows, because another took its place, at once. A rule of this program: it is kept to be compared
    with the dates, and for nothing else.
    """
    days = [day for day in decided if day is not None]
    if not decided:
        return put, UNUSED
    if len(days) == len(decided):
        return max(days) + timedelta(days=kept_days), DECIDED
    return put + timedelta(days=waits_days), UNVERIFIED


def state_on(spans: Iterable[OnFile], on: date) -> PaperState:
    """Say how a paper stands on a day, from all that is on file: spans that touch or overlap run on into each other.

    A waiver is named where nothing else holds the paper on that day. A rule of this program.
    """
    having = [span for span in spans if span.last is None or span.first <= span.last]
    holding = [span for span in having if span.covers(on)]
    if holding:
        return PaperState(IN_FORCE, _runs_through(having, on), all(span.waiver for span in holding))
    ends = [span.last for span in having if span.last is not None and span.last < on]
    if ends:
        return PaperState(ENDED, max(ends))
    begins = min((span.first for span in having), default=None)
    return PaperState(NOT_BEGUN, begins) if begins else PaperState(NOT_ON_FILE)


def _runs_through(spans: list[OnFile], day: date) -> date | None:
    """Return the last day up to which some span covers every day from a covered day on; None when it is open."""
    last = day
    while True:
        lasts = [span.last for span in spans if span.covers(day)]
        if not lasts:
            return last
        if None in lasts:
            return None
        last = max(one for one in lasts if one is not None)
        if last == date.max:
            return last
        day = last + timedelta(days=1)


def date_faults(today: date, issued: date | None, last_day: date | None) -> dict[str, str]:
    """Return what is wrong with the dates of a paper, by field: `issued`, `last_day`; empty when nothing is."""
    if issued is None:
        return {"issued": "Write the day on which it was issued, as it is printed on the paper."}
    faults = {}
    if issued > today:
        faults["issued"] = f"It cannot have been issued on {issued}: that day is still ahead."
    elif issued < EARLIEST:
        faults["issued"] = f"It cannot have been issued on {issued}; write the day that is printed on it."
    if last_day and last_day > LATEST:
        faults["last_day"] = f"{last_day} is too far off; leave it empty where the paper states no last day."
    if last_day and last_day < issued:
        faults["last_day"] = f"It cannot end on {last_day}, before it was issued on {issued}."
    return faults
