"""Who of those at hand could step into a place in a block, nearest first, and what the others lack; pure."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass, replace

from mentor_training.planning.competing import LevelOf
from mentor_training.planning.gaps import Near, obstacle
from mentor_training.planning.rules import DUTY, LEAD, MENTOR, Floor, Placed, leads_lacking, refusals
from mentor_training.program.catalog import Level

# How near somebody is to a place, in this order.
AT_ONCE, WAITS, ELSEWHERE, NOT_CLEARED = "at_once", "waits", "elsewhere", "not_cleared"
ORDER = (AT_ONCE, WAITS, ELSEWHERE, NOT_CLEARED)


@dataclass(frozen=True)
class Opening:
    """A place to be filled in a block: a mentor for a participant at one of some stations, a lead, or a duty."""

    block: int
    role: str
    stations: tuple[str, ...]
    participant: str | None = None


@dataclass(frozen=True)
class Cover:
    """A volunteer for an opening: how near they are, at which station, and at which level.

    `at` is where they are placed in that block already, or the code of the other session where they are at that time;
    `waits` says in words what keeps one who is cleared and free from being placed at once. `lacking` counts what one
    who is not cleared lacks, and `lacks` says it in words.
    """

    nearness: str
    mentor: str
    station: str
    level: int
    at: Placed | str | None = None
    waits: str = ""
    lacks: tuple[str, ...] = ()
    lacking: int = 0
    only_the_card: bool = False

    @property
    def key(self) -> tuple[int, int, int, bool, str]:
        """Return by what it is put in order: the smallest is the nearest."""
        return (ORDER.index(self.nearness), self.lacking, -self.level, self.at is not None, self.mentor)


# What somebody lacks for an opening, at the station where it is least; None where nothing they could do brings them in.
NearOf = Callable[[str, Opening], Near | None]


def covers(
    floor: Floor,
    placed: Collection[Placed],
    here: Collection[str],
    opening: Opening,
    level_of: LevelOf,
    near_of: NearOf,
) -> tuple[Cover, ...]:
    """Return who of those at hand could step into an opening, nearest first. A rule of this program.

    First who can be placed as the plan stands, then who is cleared and free and has to wait for room or a lead, then
    who is cleared and placed elsewhere in that block: each the higher level first. Then who is not cleared, fewest
    things lacking first. Each stands there once, at the station where they are nearest; not among them is who is in
    that place already, and who is kept apart, stood down or restricted. Nobody could where the station is closed.
    """
    if opening.stations and all((opening.block, slug) in floor.closed for slug in opening.stations):
        return ()
    found = (
        _cover(floor, placed, opening, who, level_of, near_of)
        for who in floor.volunteers
        if who in here
        and who not in floor.keep_apart.get(opening.participant or "", ())
        and not _is_there(placed, opening, who)
    )
    return tuple(sorted((one for one in found if one), key=lambda one: one.key))


def openings(floor: Floor, placed: Collection[Placed], here: Collection[str], block: int) -> tuple[Opening, ...]:
    """Return what is open in a block if nobody works there but those at hand: participants, then leads, then duties.

    A participant with fewer mentors who are cleared than they take; a station that asks for more leads than it has, or
    whose placed lead is not at hand; a duty on which somebody is placed who is not at hand.
    """
    in_block = [one for one in placed if one.block == block]
    present = [one for one in in_block if one.mentor in here]
    away = [one for one in in_block if one.mentor not in here]
    one_block = replace(floor, blocks=(block,))
    # Where somebody is placed with a participant the station is open, whether they have come or not.
    asked = leads_lacking(one_block, [*(one for one in in_block if one.participant), *present])
    unled = {slug for _, slug in asked} | {one.station for one in away if one.role == LEAD}
    unkept = {one.station for one in away if one.role == DUTY}
    shut = {slug for at, slug in floor.closed if at == block}
    return (
        *_open_participants(one_block, placed, present, block),
        *(Opening(block, LEAD, (slug,)) for slug in floor.stations if slug in unled - shut),
        *(Opening(block, DUTY, (slug,)) for slug in floor.stations if slug in unkept - shut),
    )


def opening_for(floor: Floor, placed: Collection[Placed], block: int, participant: str) -> Opening:
    """Return the opening of a participant in a block: at the station where they are, else at any place."""
    there = dict.fromkeys(one.station for one in placed if (one.block, one.participant) == (block, participant))
    return Opening(block, MENTOR, tuple(there) or floor.open_places(block), participant)


def _open_participants(
    floor: Floor, placed: Collection[Placed], present: Collection[Placed], block: int
) -> Iterator[Opening]:
    for participant in floor.participants:
        if (block, participant) in floor.missed:
            continue
        opening = opening_for(floor, placed, block, participant)
        there = sum(one.participant == participant and one.level > Level.NOT_YET for one in present)
        if there < min((floor.wanted(participant, slug) for slug in opening.stations), default=1):
            yield opening


def _is_there(placed: Collection[Placed], opening: Opening, who: str) -> bool:
    place = (opening.block, opening.role, opening.participant, who)
    return any(
        (one.block, one.role, one.participant, one.mentor) == place and one.station in opening.stations
        for one in placed
    )


def _cover(
    floor: Floor, placed: Collection[Placed], opening: Opening, who: str, level_of: LevelOf, near_of: NearOf
) -> Cover | None:
    least = Level.LEAD if opening.role == LEAD else Level.SUPERVISED
    levels = {slug: level_of(who, slug, opening.participant) for slug in opening.stations}
    at = _where(floor, placed, opening.block, who)
    able = [
        Placed(opening.block, slug, who, opening.role, opening.participant, level)
        for slug, level in levels.items()
        if level >= least
    ]
    if able:
        return min((_cleared(floor, placed, one, at) for one in able), key=lambda one: one.key)
    near = near_of(who, opening)
    if near is None:
        return None
    level = levels.get(near.station, Level.NOT_YET)
    return Cover(NOT_CLEARED, who, near.station, level, at, "", near.lacks, near.distance, near.only_the_card)


def _cleared(floor: Floor, placed: Collection[Placed], new: Placed, at: Placed | str | None) -> Cover:
    cover = Cover(ELSEWHERE, new.mentor, new.station, new.level, at)
    if at is not None:
        return cover
    if not refusals(floor, placed, new):
        return replace(cover, nearness=AT_ONCE)
    return replace(cover, nearness=WAITS, waits=obstacle(floor, placed, new))


def _where(floor: Floor, placed: Collection[Placed], block: int, who: str) -> Placed | str | None:
    here = (one for one in placed if (one.block, one.mentor) == (block, who))
    return next(here, None) or floor.elsewhere.get((block, who))
