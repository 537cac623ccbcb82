"""Placements that a page carries, and that are read again from whatever is sent."""

from __future__ import annotations

import json
from collections.abc import Iterable

from werkzeug.exceptions import BadRequest

from mentor_training.planning.rules import Placed

KINDS: dict[str, tuple[type, ...]] = {
    "block": (int,), "station": (str,), "mentor": (str,), "role": (str,), "participant": (str, type(None)),
}  # fmt: skip


def written(placed: Iterable[Placed]) -> str:
    """Return placements as a page carries them."""
    return json.dumps([{name: getattr(one, name) for name in KINDS} for one in placed], separators=(",", ":"))


def read_placements(text: str) -> tuple[Placed, ...]:
    """Return the placements that a page carries; refuse what it cannot have written. Levels are asked anew."""
    try:
        found = [Placed(**row, level=0) for row in json.loads(text)]
    except (ValueError, TypeError, RecursionError):
        found = []
    if not found or not all(_can_be_written(getattr(one, name), name) for one in found for name in KINDS):
        raise BadRequest("The plan that was sent cannot be read; propose it again.")
    return tuple(found)


def _can_be_written(value: object, name: str) -> bool:
    """Say whether a value is of its kind, and no text that a database cannot hold: NUL, half a character."""
    if type(value) not in KINDS[name]:
        return False
    return not isinstance(value, str) or not any(sign == "\0" or "\ud800" <= sign <= "\udfff" for sign in value)
