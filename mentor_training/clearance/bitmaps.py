"""Sets of volunteers as whole numbers: the bit at somebody's place says whether they are among them; pure.

Ten thousand volunteers are one number of ten thousand bits, and one `&` asks them all.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import reduce
from operator import and_, or_

from mentor_training.program.requirements import AtLeast, Atom, Requirement

_NOT_EMPTY = re.compile(rb"[^\x00]")
_BITS = tuple(tuple(bit for bit in range(8) if byte >> bit & 1) for byte in range(256))


def everyone(size: int) -> int:
    """Return the set of the first so many."""
    return (1 << size) - 1


def places_in(bits: int) -> Iterator[int]:
    """Yield the places of those in a set, in their order."""
    octets = bits.to_bytes((bits.bit_length() + 7) // 8, "little")
    for found in _NOT_EMPTY.finditer(octets):
        at = found.start()
        for bit in _BITS[octets[at]]:
            yield 8 * at + bit


def levels_in(reached: Sequence[int], size: int) -> str:
    """Return a digit for each place, in their order: in how many of the sets it is.

    Each bit is spread to four, so that up to fifteen sets can be added as one number is.
    """
    spread = sum(int(f"{bits:b}", 16) for bits in reached)
    return f"{spread:0{size}x}"[::-1][:size] if size else ""


def met_by(requirement: Requirement, held: Callable[[Atom], int], all_of_them: int) -> int:
    """Return who meets a requirement, given who holds which atom."""
    if isinstance(requirement, AtLeast):
        parts = [met_by(part, held, all_of_them) for part in requirement.of]
        return at_least(requirement.count, parts, all_of_them)
    return held(requirement)


def at_least(count: int, parts: Sequence[int], all_of_them: int) -> int:
    """Return who is in so many of some sets.

    Between all and any, `reached[n]` gathers who was in n of the sets looked at so far.
    """
    if count <= 0:
        return all_of_them
    if count >= len(parts):
        return reduce(and_, parts) if count == len(parts) else 0
    if count == 1:
        return reduce(or_, parts)
    reached = [all_of_them] + [0] * count
    for part in parts:
        for place in range(count, 0, -1):
            reached[place] |= reached[place - 1] & part
    return reached[count]


def bitmap(places: Iterable[int], size: int) -> int:
    """Return the set of those at some places, all below `size`."""
    octets = bytearray((size + 7) // 8)
    for place in places:
        octets[place >> 3] |= 1 << (place & 7)
    return int.from_bytes(octets, "little")


class Tally:
    """Counts, for each place, in how many sets it was. The counts lie across whole numbers, one for each digit."""

    def __init__(self) -> None:
        self._digits: list[int] = []

    def add(self, bits: int) -> None:
        """Count those in a set once more."""
        for at, digit in enumerate(self._digits):
            if not bits:
                return
            self._digits[at], bits = digit ^ bits, digit & bits
        if bits:
            self._digits.append(bits)

    def at(self, place: int) -> int:
        """Return the count for a place."""
        return sum((digit >> place & 1) << at for at, digit in enumerate(self._digits))
