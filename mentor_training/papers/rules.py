"""From when to when a paper on file is in force, when its end is noticed, and what its dates may be; pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from mentor_training.evidence.corrections import earliest, months_later
from mentor_training.evidence.facts import EARLIEST, LATEST

IN_FORCE = "in-force"
ENDED = "ended"
NOT_BEGUN = "not-begun"
NOT_ON_FILE = "not-on-file"

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
