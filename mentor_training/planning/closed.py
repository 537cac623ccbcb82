"""Stations that are closed during a session: in which blocks, and what that says of who is not covered; pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from mentor_training.planning.competing import LevelOf
from mentor_training.planning.rules import Floor
from mentor_training.program.catalog import Level

CLOSED, OPENED = "closed", "opened"
# Why a station is closed: a short choice, so that nothing about anybody is written.
REASONS: Mapping[str, str] = {
    "place": "the place cannot be used",
    "equipment": "the equipment is broken",
    "supervision": "somebody who has to be there is missing",
    "weather": "weather",
    "other": "another reason",
}


@dataclass(frozen=True)
class Turned:
    """A station was closed, or opened again, from a block on; `at` is the moment, `by` a person's code."""

    number: int
    station: str
    kind: str
    from_block: int
    reason: str
    at: datetime
    by: str


def closed_in(turned: Iterable[Turned], blocks: Sequence[int]) -> dict[tuple[int, str], Turned]:
    """Return, by block and station, what closed it: the last word about a block decides. A rule of this program."""
    last: dict[tuple[int, str], Turned] = {}
    for one in sorted(turned, key=lambda one: one.number):
        last.update({(block, one.station): one for block in blocks if block >= one.from_block})
    return {place: one for place, one in last.items() if one.kind == CLOSED}


@dataclass(frozen=True)
class Spell:
    """Blocks, one after the other, in which a station is closed for one reason."""

    station: str
    blocks: tuple[int, ...]
    reason: str

    def in_words(self, blocks: Sequence[int]) -> str:
        """Say from which block on, or in which of the session's blocks, it is closed, and why."""
        first, last = self.blocks[0], self.blocks[-1]
        when = f"from block {first}" if last == max(blocks) else f"in block {first}"
        if first != last != max(blocks):
            when = f"in blocks {first} to {last}"
        return f"closed {when}: {REASONS.get(self.reason, self.reason)}"


def spells(reasons: Mapping[tuple[int, str], str], blocks: Sequence[int]) -> tuple[Spell, ...]:
    """Return when stations are closed, each with its reason, by station; `reasons` are those by block and station."""
    found: list[Spell] = []
    for station in dict.fromkeys(slug for _, slug in sorted(reasons)):
        open_before = True
        for block in sorted(blocks):
            reason = reasons.get((block, station))
            if reason is not None and not open_before and found[-1].reason == reason:
                found[-1] = Spell(station, (*found[-1].blocks, block), reason)
            elif reason is not None:
                found.append(Spell(station, (block,), reason))
            open_before = reason is None
    return tuple(found)


def blocks_closed(closed: Iterable[tuple[int, str]], station: str) -> tuple[int, ...]:
    """Return the blocks in which a station is closed, in their order."""
    return tuple(sorted(block for block, slug in closed if slug == station))


def closed_for(floor: Floor, block: int, station: str | None) -> str:
    """Say that the station where a participant is placed is closed, or that every place is; else nothing."""
    if station and (block, station) in floor.closed:
        return f"{floor.closed_in_words(block, station)} Mend the plan, or take them out there first."
    if station or not floor.places or floor.open_places(block):
        return ""
    return " ".join(floor.closed_in_words(block, slug) for slug in floor.places)


def cleared_where_closed(floor: Floor, level_of: LevelOf, block: int, participant: str) -> str:
    """Say which stations are closed where somebody expected is cleared for a participant; else nothing."""
    shut = [slug for slug in floor.places if (block, slug) in floor.closed]
    found = (slug for slug in shut if any(level_of(who, slug, participant) > Level.NOT_YET for who in floor.volunteers))
    return "".join(f" {floor.closed_in_words(block, slug)}" for slug in found)
