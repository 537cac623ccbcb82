"""How records are numbered and named; pure.

Numbers are the order of the register and only grow. A record that is named by the program is called by its number;
one that was moved in keeps the name it had, and a name of the program's own form never gets ahead of the numbers.
"""

from __future__ import annotations

import re

OWN = re.compile(r"r-0*([1-9][0-9]{0,8})")
HIGHEST = 999_999_999


def name_of(number: int) -> str:
    """Return what the program calls the record of a number."""
    return f"r-{number:04d}"


def number_after(last: int, name: str = "") -> int:
    """Return the number of a record that follows the number `last`.

    The next one; or the one in its own name, where that is larger: so the name made from any number that is still to
    come is free.
    """
    own = OWN.fullmatch(name)
    return max(last + 1, int(own[1]) if own else 0)
