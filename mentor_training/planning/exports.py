"""What is said of a plan as rows and as the documented JSON."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from mentor_training.planning.covering import Cover
from mentor_training.planning.queries.covering import Covered
from mentor_training.planning.rules import LEAD, Floor, Placed

COVER_COLUMNS = ("for", "nearness", "person", "station", "level", "placed", "lacking", "what stands between")


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
