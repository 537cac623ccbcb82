"""What waits for approval, and why an entry is unusual, so that whoever approves many at once sees that first; pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from statistics import median_high

from mentor_training.hours.rules import SESSION, Entry
from mentor_training.hours.spans import clashes_of

# Beyond both of these a stay is longer than somebody's usual one; fewer earlier stays make nothing usual.
LONGER_SHARE, LONGER_MINUTES, FEWEST = 1.5, 30, 3
LONG_MINUTES = 10 * 60


@dataclass(frozen=True)
class WaitingLine:
    """An entry that waits for approval, the corrections that wait with it, and how many minutes are over a cap.

    `unusual` says why it asks for a look, empty where nothing does.
    """

    entry: Entry
    name: str
    corrections: tuple[Entry, ...]
    over: int
    unusual: tuple[str, ...] = ()

    @property
    def minutes(self) -> int:
        """Return the minutes that would be approved."""
        return self.entry.minutes + sum(one.minutes for one in self.corrections)

    @property
    def asks_for_a_look(self) -> bool:
        """Say whether anything about it is unusual."""
        return bool(self.unusual)

    def place(self) -> tuple[int, date, str, int]:
        """Return what to sort by: first what is unusual in most ways, then by day."""
        return -len(self.unusual), self.entry.day, self.entry.person, self.entry.id


def waiting_lines(name: str, entries: Iterable[Entry], over: Mapping[int, int]) -> tuple[WaitingLine, ...]:
    """Return what waits for approval in one volunteer's log; `over` is what `over_the_caps` returned."""
    entries = tuple(entries)
    found = []
    for one in entries:
        if not one.approved_by and not one.corrects:
            corrections = tuple(other for other in entries if other.corrects == one.id)
            beyond = over.get(one.id, 0)
            found.append(WaitingLine(one, name, corrections, beyond, reasons(one, corrections, beyond, entries)))
    return tuple(sorted(found, key=WaitingLine.place))


def reasons(entry: Entry, corrections: Iterable[Entry], over: int, log: Iterable[Entry]) -> tuple[str, ...]:
    """Say why an entry that waits is unusual, beside the log that it is in. A rule of this program.

    Flagged at closing, over a cap, without a minute, longer than ten hours or than the volunteer's usual session,
    at the same time as another entry, or left with nothing by corrections.
    """
    said = [entry.flag] if entry.flag else []
    log = tuple(log)
    if over:
        said.append(f"{over} min over a cap; not counted until approved.")
    if entry.came and entry.minutes <= 0:
        said.append("no minute between coming and leaving; look at the clock of that day.")
    if entry.minutes > LONG_MINUTES:
        said.append(f"{entry.minutes} min are longer than {LONG_MINUTES // 60} hours.")
    usual = _usual(entry, log)
    if usual and entry.minutes > usual * LONGER_SHARE and entry.minutes > usual + LONGER_MINUTES:
        said.append(f"{entry.minutes} min, where their other sessions are {usual} min.")
    said += [f"at the same time as entry {one.entry.id}, {one.minutes} min." for one in clashes_of(entry, log)]
    if entry.minutes and entry.minutes + sum(one.minutes for one in corrections) == 0:
        said.append("corrections leave nothing of it.")
    return tuple(said)


def _usual(entry: Entry, log: Iterable[Entry]) -> int:
    """Return the middle length of the volunteer's other sessions in minutes, 0 where there are too few to say."""
    others = [one.minutes for one in log if one.source == SESSION and one.id != entry.id and one.minutes > 0]
    return median_high(others) if entry.source == SESSION and len(others) >= FEWEST else 0
