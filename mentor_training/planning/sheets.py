"""What paper and walls say in short: how people are called, what is open and why, how close the lines stand; pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from mentor_training.planning.gaps import (
    ALL_ELSEWHERE,
    CANNOT_COME,
    NO_ROOM_OR_LEAD,
    NOBODY_CLEARED,
    NOT_PLACED,
    REVIEW_OVERDUE,
    STATION_CLOSED,
    TOO_FEW_CLEARED,
    TOO_FEW_FOR_ALL,
    Gap,
)

# A cause in so few words that sixty stand on a page; none of them tells of a need.
IN_SHORT = {
    REVIEW_OVERDUE: "review of the card is overdue",
    NOBODY_CLEARED: "nobody who is cleared",
    TOO_FEW_CLEARED: "too few who are cleared",
    NOT_PLACED: "somebody could be placed",
    ALL_ELSEWHERE: "who is cleared is placed elsewhere",
    TOO_FEW_FOR_ALL: "too few for all who compete",
    NO_ROOM_OR_LEAD: "no room or no lead",
    STATION_CLOSED: "the station is closed",
    CANNOT_COME: "who is cleared says: cannot come",
}
# How many lines of each size one sheet holds below its heads, the largest letters first, with room for
# names that take two lines; measured on A4 and Letter.
ROOM = {"large": 16, "middle": 23}
SMALL = "small"


@dataclass(frozen=True)
class OpenFor:
    """Participants who lack mentors in the same blocks for the same reason."""

    because: str
    blocks: tuple[int, ...]
    participants: tuple[str, ...]


def short_names(names: Mapping[str, str]) -> dict[str, str]:
    """Return how everybody is called in short, by code: no two alike, and never a whole surname.

    The first word of the name; where two share it, with the initial of the last one; where they share that too, with
    the code. A rule of this program.
    """
    found = {code: _first(name) or code for code, name in names.items()}
    for longer in (_with_initial, lambda name, code: f"{_with_initial(name, code)} {code}"):
        often = Counter(found.values())
        found |= {code: longer(names[code], code) for code, short in found.items() if often[short] > 1}
    return found


def _first(name: str) -> str:
    return next(iter(name.split()), "")


def _with_initial(name: str, _code: str) -> str:
    words = name.split()
    return f"{words[0]} {words[-1][0]}." if len(words) > 1 else _first(name)


def open_for(gaps: Iterable[Gap], call: Callable[[str], str]) -> tuple[OpenFor, ...]:
    """Return gaps put together by reason and blocks; who lacks most blocks comes first, then by reason."""
    blocks: dict[tuple[str, str], list[int]] = {}
    for gap in gaps:
        blocks.setdefault((gap.participant, gap.cause), []).append(gap.block)
    alike: dict[tuple[str, tuple[int, ...]], list[str]] = {}
    for (participant, cause), those in blocks.items():
        alike.setdefault((IN_SHORT[cause], tuple(sorted(those))), []).append(call(participant))
    found = (OpenFor(because, those, tuple(sorted(people))) for (because, those), people in alike.items())
    return tuple(sorted(found, key=lambda one: (-len(one.blocks), one.because, one.blocks)))


def size_of(lines: Sequence[int]) -> str:
    """Return how large the letters of a sheet are whose rows have so many lines: `large`, `middle` or `small`."""
    height = sum(max(1, one) for one in lines)
    return next((size for size, room in ROOM.items() if height <= room), SMALL)
