"""A level looked back on, in words, as the documented JSON, and as cells of a table."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from mentor_training.clearance.hindsight import Later
from mentor_training.console import utc_text
from mentor_training.evidence.facts import Fact
from mentor_training.overview.queries.then import Row
from mentor_training.program.catalog import RUNG_NAMES, Level
from mentor_training.program.editions import PublishedProgram

LEVELS = {Level.NOT_YET: "not yet", **RUNG_NAMES}
COLUMNS = ("person", "station", "then", "now", "recorded later")
COLUMNS_OF_FLOOR = ("person", "station", "participant", "blocks", "role", "frozen", "then", "now", "recorded later")


def as_json(row: Row) -> dict[str, Any]:
    """Write a row as one entry of the documented JSON."""
    found, placed = row.found, row.placed
    return {
        "person": found.person,
        "station": found.station,
        "participant": found.participant,
        **({"blocks": list(placed.blocks), "role": placed.role, "frozen": int(placed.frozen)} if placed else {}),
        "then": int(found.then),
        "now": int(found.now),
        "later": [_later_as_json(one) for one in found.later],
    }


def _later_as_json(one: Later) -> dict[str, Any]:
    told: dict[str, Any] = {"kind": one.kind, "code": one.code}
    if isinstance(one.value, Fact):
        fact = one.value
        told |= {
            "what": fact.kind,
            "item": fact.item,
            "first_day": fact.first_day.isoformat(),
            "last_day": fact.last_day.isoformat() if fact.last_day else None,
            "refers_to": fact.refers_to,
            "recorded_at": utc_text(fact.recorded_at),
            "recorded_by": fact.recorded_by,
        }
    elif isinstance(one.value, PublishedProgram):
        told |= {"effective": one.value.effective.isoformat(), "recorded_at": utc_text(one.value.published_at)}
    else:
        first_day = one.value.first_day
        told |= {"first_day": first_day.isoformat() if first_day else None}
    return told


def later_in_words(one: Later, zone: ZoneInfo) -> str:
    """Say what was recorded later, about which day, when and by whom."""
    if isinstance(one.value, Fact):
        fact = one.value
        about = f" about {fact.refers_to}" if fact.refers_to else ""
        item = f" {fact.item}" if fact.item else ""
        when = f"recorded {_local(fact.recorded_at, zone)} by {fact.recorded_by}"
        return f"{fact.code}: {fact.kind}{item}{about} from {fact.first_day}, {when}"
    if isinstance(one.value, PublishedProgram):
        published = _local(one.value.published_at, zone)
        return f"edition {one.code}, in effect from {one.value.effective}, published {published}"
    what = "what is known of participant" if one.kind == "profile" else "the card"
    since = f" from {one.value.first_day}" if one.value.first_day else ""
    return f"{what} {one.code}{since}"


def _local(moment: datetime, zone: ZoneInfo) -> str:
    return f"{moment.astimezone(zone):%Y-%m-%d %H:%M}"


def as_cells(row: Row, zone: ZoneInfo) -> tuple[object, ...]:
    """Write a row as the cells of a table, in the order of `COLUMNS`; of a floor, of `COLUMNS_OF_FLOOR`."""
    found, placed = row.found, row.placed
    middle: tuple[object, ...] = ()
    if placed:
        blocks = ";".join(str(block) for block in placed.blocks)
        middle = (found.participant or "", blocks, placed.role, LEVELS[placed.frozen])
    later = "; ".join(later_in_words(one, zone) for one in found.later)
    return (found.person, found.station, *middle, LEVELS[found.then], LEVELS[found.now], later)
