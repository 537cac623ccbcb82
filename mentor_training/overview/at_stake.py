"""What hangs on each skill of a volunteer that is not held, or ends soon: stations, and participants expected; pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, timedelta
from functools import cache

from mentor_training.clearance.decision import Decision
from mentor_training.clearance.dossier import Holdings
from mentor_training.clearance.spans import NEXT_DAY
from mentor_training.observing.rules.urgency import ENDS_SOON_DAYS, Stake, Turn
from mentor_training.overview.rules import Expected, Holds, compared, is_paused, level_with
from mentor_training.program.requirements import Item


def stakes_of(decisions: Sequence[Decision], expected: Iterable[Expected]) -> dict[str, Stake]:
    """Return what hangs on each skill of one volunteer that is not held, or ends within `ENDS_SOON_DAYS`, by slug.

    Each is tried by itself: a skill that is not held is thought held, one that ends is thought gone; with all else as
    it is on the day. What is counted is what differs: the levels of stations and duties, and with how many of those
    expected one can work. The decisions are those of one person on one day with no participant, one for each station; a
    station on which a stand-down or restriction lies is moved by nothing. A rule of this program.
    """
    if not decisions:
        return {}
    one, open_ones = decisions[0], [each for each in decisions if not is_paused(each)]
    ends = {slug: _ends(one.holdings, slug, one.on) for slug in one.program.skills}
    soon = one.on + timedelta(days=ENDS_SOON_DAYS)
    tried = {slug: last for slug, last in ends.items() if last is None or last <= soon}
    holds = cache(one.holdings.holds)
    worlds = [_world(holds, slug, last) for slug, last in tried.items()]
    counts = compared(open_ones, expected, worlds)
    return {
        slug: Stake(tuple(_turns(open_ones, world, last)), more + fewer, last)
        for (slug, last), world, (more, fewer) in zip(tried.items(), worlds, counts, strict=True)
    }


def _ends(holdings: Holdings, slug: str, day: date) -> date | None:
    """Return the last day through which a skill is held without a gap; None where it is not held at all."""
    held = holdings.history.spans.get(f"skill/{slug}", ())
    last = None
    while found := [span for span in held if span.covers(last + NEXT_DAY if last else day)]:
        last = max(span.last or date.max for span in found)
        if last == date.max:
            break
    return last


def _world(holds: Holds, slug: str, last: date | None) -> Holds:
    item = Item(f"skill/{slug}")
    return lambda atom: last is None if atom == item else holds(atom)


def _turns(decisions: Iterable[Decision], world: Holds, last: date | None) -> Iterator[Turn]:
    for one in decisions:
        there = level_with(one.program, one.program.stations[one.station].ladder, world)
        if there != one.level:
            yield Turn(one.station, *((one.level, there) if last is None else (there, one.level)))
