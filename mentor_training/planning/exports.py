"""What is said of a plan as rows and as the documented JSON."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from mentor_training.planning.covering import Cover
from mentor_training.planning.queries.covering import Covered
from mentor_training.planning.queries.suggesting import Next
from mentor_training.planning.rules import LEAD, Floor, Placed

COVER_COLUMNS = ("for", "nearness", "person", "station", "level", "placed", "lacking", "what stands between")

SUGGESTION_COLUMNS = ("person", "skill", "observer", "gain", "coverable")
GREEDY, PROVEN = "greedy; not proven best", "proven: no other choice does more"


def suggestion_rows(one: Next) -> Iterator[tuple[object, ...]]:
    """Yield a row for each suggestion, in its order."""
    for line in one.found.lines:
        yield (line.person, line.skill, line.observer, line.gain, line.coverable)


def suggestions_as_json(one: Next, each: int) -> dict[str, Any]:
    """Write what is suggested as the documented JSON."""
    occasion, found = one.occasion, one.found
    return {
        "on": occasion.day.isoformat(),
        "at": occasion.at.code if occasion.at else None,
        "sessions": [session.code for session in occasion.counted],
        "minutes": dict(occasion.minutes),
        "each": each,
        "wanted": found.wanted,
        "coverable": found.before,
        "at_most": found.at_most,
        "proven": found.is_proven,
        "ready": one.ready,
        "suggestions": [dict(zip(SUGGESTION_COLUMNS, row, strict=True)) for row in suggestion_rows(one)],
    }


def cover_rows(found: Iterable[Covered]) -> Iterator[tuple[object, ...]]:
    """Yield a row for each volunteer of each opening, nearest first, and one that says so where there is nobody."""
    for one in found:
        whom = one.opening.participant or f"{one.opening.role} at {one.opening.stations[0]}"
        if not one.covers:
            yield (whom, "nobody", "", "", "", "", "", "")
        yield from (_cover_row(whom, cover) for cover in one.covers)


def _cover_row(whom: str, one: Cover) -> tuple[object, ...]:
    between = one.waits or "; ".join(one.lacks)
    nearness = one.nearness.replace("_", " ")
    return (whom, nearness, one.mentor, one.station, int(one.level), _at_in_codes(one.at), one.lacking, between)


def _at_in_codes(at: Placed | str | None) -> str:
    if at is None or isinstance(at, str):
        return f"session {at}" if at else ""
    return f"{at.participant or at.role} at {at.station}"


def cover_as_json(found: Covered) -> dict[str, Any]:
    """Write an opening and who could step in as the documented JSON."""
    opening = found.opening
    return {
        "role": opening.role,
        "participant": opening.participant,
        "stations": list(opening.stations),
        "absent": [one.mentor for one in found.absent],
        "covers": [_cover(one) for one in found.covers],
    }


def _cover(one: Cover) -> dict[str, Any]:
    return {
        "person": one.mentor,
        "nearness": one.nearness,
        "station": one.station,
        "level": int(one.level),
        "placed": _at(one.at),
        "waits": one.waits or None,
        "lacking": one.lacking,
        "lacks": list(one.lacks),
    }


def _at(at: Placed | str | None) -> dict[str, str | None] | None:
    if at is None or isinstance(at, str):
        return {"session": at} if at else None
    return {"station": at.station, "role": at.role, "participant": at.participant}


def opening_in_words(floor: Floor, found: Covered) -> str:
    """Say what is open: a mentor for somebody by first name, a lead, or somebody on a duty."""
    opening = found.opening
    if opening.participant:
        return f"A mentor for {floor.call(opening.participant)}"
    return f"{'A lead at' if opening.role == LEAD else 'Somebody on'} {floor.title(opening.stations[0])}"


def at_in_words(floor: Floor, at: Placed | str) -> str:
    """Say where somebody is placed in that block already."""
    if isinstance(at, str):
        return f"in session {at} at this time"
    doing = f"with {floor.call(at.participant)}" if at.participant else "as lead" if at.role == LEAD else "on duty"
    return f"{doing}, {floor.title(at.station)}"
