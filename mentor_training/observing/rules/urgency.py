"""Which skill of which volunteer is to be seen first: what hangs on it, and how near it is; pure.

What hangs on a skill is worked out by rooms above this one, from the clearance rules, and handed in.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from mentor_training.program.catalog import Level

# A skill that ends within so many days is looked at again. A rule of this program.
ENDS_SOON_DAYS = 30


@dataclass(frozen=True)
class Turn:
    """A station or duty whose level one skill decides: without it, and with it; by slug."""

    station: str
    without: Level
    with_it: Level


@dataclass(frozen=True)
class Stake:
    """What hangs on one skill that a volunteer does not hold, or that ends soon: nothing else has a stake.

    `turns` are the stations it decides by itself, and `participants` with how many of those expected at coming sessions
    one can work with it and not without. `last_day` is the last day on which it is held; None where it is not held.
    """

    turns: tuple[Turn, ...] = ()
    participants: int = 0
    last_day: date | None = None


# Without a stake nothing is urgent about a skill but how near it is to its sign-off.
Urgency = tuple[int, int, int, date, int, int]


def urgency(stake: Stake | None, is_settled: bool, group: int, gap: int) -> Urgency:
    """Return by what a skill is put in order: the smallest is the most urgent. A rule of this program.

    First whatever is not settled (signed off and not about to end); of these what decides the most stations and duties,
    then the most participants of coming sessions; of equals what ends soonest, then what is nearest to a sign-off: by
    `group`, the place of ready, begun and open, then by the fewest observations still missing.
    """
    found = stake or Stake()
    return (
        int(is_settled),
        -len(found.turns),
        -found.participants,
        found.last_day or date.max,
        group,
        gap,
    )
