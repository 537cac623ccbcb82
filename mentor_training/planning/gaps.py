"""What a plan does not cover, and why: in words and as data; pure."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from mentor_training.planning.closed import cleared_where_closed, closed_for
from mentor_training.planning.competing import Competing, LevelOf, competing
from mentor_training.planning.rules import LEAD, MENTOR, Floor, Placed, is_full, leads_in, leads_lacking, refusals
from mentor_training.program.catalog import Level

# Why a participant-block is not covered.
REVIEW_OVERDUE = "review_overdue"
NOBODY_CLEARED = "nobody_cleared"
TOO_FEW_CLEARED = "too_few_cleared"
NOT_PLACED = "not_placed"
ALL_ELSEWHERE = "all_elsewhere"
TOO_FEW_FOR_ALL = "too_few_for_all"
NO_ROOM_OR_LEAD = "no_room_or_lead"
CANNOT_COME = "cannot_come"
STATION_CLOSED = "station_closed"
LACKING = (NOBODY_CLEARED, TOO_FEW_CLEARED, ALL_ELSEWHERE, NO_ROOM_OR_LEAD, CANNOT_COME)
NEAREST, UNPLACED = 3, "Not placed yet; "


@dataclass(frozen=True)
class Near:
    """A volunteer who comes near to being cleared, the station where they come nearest, and what they lack.

    `distance` is the number of things that are lacking.
    """

    mentor: str
    station: str
    lacks: tuple[str, ...]
    distance: int = 0
    only_the_card: bool = False


@dataclass(frozen=True)
class Gap:
    """A participant in a block with fewer mentors than they take: why, in words, and who comes nearest or could."""

    block: int
    participant: str
    station: str | None
    have: int
    wanted: int
    cause: str
    because: str
    nearest: tuple[Near, ...] = ()
    could: tuple[Placed, ...] = ()
    competitors: tuple[str, ...] = ()


@dataclass(frozen=True)
class LeadGap:
    """A station open in a block with fewer leads than it takes, and who is free and could lead it."""

    block: int
    station: str
    lacking: int
    could: tuple[str, ...]


@dataclass(frozen=True)
class Uncovered:
    """One participant's gaps with one reason, over several blocks."""

    participant: str
    gaps: tuple[Gap, ...]

    @property
    def first(self) -> Gap:
        """Return the gap that speaks for all."""
        return self.gaps[0]

    @property
    def blocks(self) -> tuple[int, ...]:
        """Return the blocks."""
        return tuple(gap.block for gap in self.gaps)


NearestOf = Callable[[str, tuple[str, ...]], tuple[Near, ...]]


def find_gaps(
    floor: Floor, placed: Collection[Placed], level_of: LevelOf, nearest_of: NearestOf, overdue: Collection[str] = (),
) -> tuple[Gap, ...]:  # fmt: skip
    """Return every participant-block that is not covered, with its reason; by block, then by participant.

    Who is placed and no longer cleared covers nobody. `nearest_of` names those who come nearest to being cleared with
    a participant at some stations; `overdue` are the participants whose card's review is overdue. Rules of this
    program.
    """
    beside: dict[tuple[int, str | None], list[Placed]] = {}
    for one in placed:
        beside.setdefault((one.block, one.participant), []).append(one)
    found = (
        _gap(floor, placed, beside.get(at, []), level_of, nearest_of, *at, at[1] in overdue) for at in floor.attended
    )
    return tuple(gap for gap in found if gap)


def _gap(
    floor: Floor, placed: Collection[Placed], with_them: Sequence[Placed], level_of: LevelOf, nearest_of: NearestOf,
    block: int, participant: str, overdue: bool,
) -> Gap | None:  # fmt: skip
    there = [one for one in with_them if one.level > Level.NOT_YET]
    station = with_them[0].station if with_them else None
    wanted = floor.wanted(participant, station) if station else 1
    if station and len(there) >= wanted:
        return None
    stations = (station,) if station else floor.open_places(block)
    cleared = [
        Placed(block, slug, who, MENTOR, participant, level)
        for slug in stations
        for who in floor.volunteers
        if (level := level_of(who, slug, participant)) > Level.NOT_YET
    ]
    if shut := closed_for(floor, block, station):
        return Gap(block, participant, station, 0, wanted, STATION_CLOSED, shut)
    cause, because, could = _cause(floor, placed, cleared, participant, stations, overdue)
    because += cleared_where_closed(floor, level_of, block, participant) if cause in LACKING else ""
    away = [one.mentor for one in with_them if (block, one.mentor) in floor.unavailable]
    if away:
        names, one = " and ".join(floor.call(who) for who in away), len(away) == 1
        said = f"{names}, who {'is' if one else 'are'} placed, {'says' if one else 'say'} that they cannot come."
        because = f"{said} {because.removeprefix(UNPLACED)}"
    short = competing(floor, placed, level_of, block, participant) if cause == ALL_ELSEWHERE and not station else None
    if short and len(short.participants) > 1:
        cause, because = TOO_FEW_FOR_ALL, _short_in_words(floor, short)
    near = nearest_of(participant, stations) if cause in (NOBODY_CLEARED, TOO_FEW_CLEARED) else ()
    if not station:
        wanted = min((floor.wanted(participant, slug) for slug in stations), default=1)
    others = short.participants[1:] if short else ()
    return Gap(block, participant, station, len(there), wanted, cause, because, near, could, others)


def _cause(
    floor: Floor, placed: Collection[Placed], cleared: Collection[Placed], participant: str, stations: tuple[str, ...],
    overdue: bool,
) -> tuple[str, str, tuple[Placed, ...]]:  # fmt: skip
    name = floor.call(participant)
    if overdue:
        held = f"The review of {name}'s card is overdue; that holds the activity and is nobody's blame."
        return REVIEW_OVERDUE, held, ()
    away = [one for one in cleared if (one.block, one.mentor) in floor.unavailable]
    cleared = [one for one in cleared if one not in away]
    if away and not cleared:
        said = f"Everybody who is cleared for {name} says that they cannot come: {_named(floor, away)}."
        return CANNOT_COME, said, ()
    if not cleared:
        where = f" at {floor.title(stations[0])}" if len(stations) == 1 else ""
        return NOBODY_CLEARED, f"Nobody expected is cleared for {name}{where}.", ()
    short = _too_few(floor, cleared, participant, stations)
    if short:
        return TOO_FEW_CLEARED, f"{short} Not counting who cannot come: {_named(floor, away)}." if away else short, ()
    busy = {one.mentor: one for one in placed if one.block == next(iter(cleared)).block}
    free = [one for one in cleared if one.mentor not in busy]
    answers = {one: refusals(floor, placed, one) for one in free}
    could = tuple(one for one, reasons in answers.items() if not reasons)
    if could and _would_do(floor, placed, could):
        return NOT_PLACED, _could_in_words(floor, could), could
    if not free or (could and not any(_whole(floor, placed, free, slug) for slug in stations)):
        return ALL_ELSEWHERE, _busy_in_words(floor, cleared, busy, could), could
    kept_out = [one for one in free if answers[one]] or free
    obstacles = dict.fromkeys(obstacle(floor, placed, one) for one in kept_out)
    few = "Too few of those who are" if could else "Nobody who is"
    return NO_ROOM_OR_LEAD, f"{few} cleared for {name} and free can be placed: {'; '.join(obstacles)}.", could


def _would_do(floor: Floor, placed: Collection[Placed], could: Collection[Placed]) -> bool:
    """Say whether those who could be placed one by one make a whole team at some station when they are together."""
    for slug in dict.fromkeys(one.station for one in could):
        team: list[Placed] = []
        for one in could:
            if one.station == slug and not refusals(floor, [*placed, *team], one):
                team.append(one)
        if _whole(floor, placed, team, slug):
            return True
    return False


def _whole(floor: Floor, placed: Iterable[Placed], more: Collection[Placed], slug: str) -> bool:
    """Say whether a participant would have the mentors they take at a station with more of them there."""
    team = [one for one in more if one.station == slug]
    if not team:
        return False
    block, participant = team[0].block, team[0].participant or ""
    there = [one for one in placed if (one.block, one.participant) == (block, participant) and one.level]
    return len(there) + len(team) >= floor.wanted(participant, slug)


def obstacle(floor: Floor, placed: Iterable[Placed], one: Placed) -> str:
    """Say what keeps somebody who is cleared and free from a station: another session, its room, or its leads."""
    here = [other for other in placed if other.block == one.block]
    for code in (one.mentor, one.participant or ""):
        if (one.block, code) in floor.elsewhere:
            return f"{floor.call(code)} is placed in session {floor.elsewhere[one.block, code]} at this time"
    if one.participant and is_full(floor.stations[one.station], here, one.participant):
        return f"{floor.title(one.station)} is full"
    leads, asked = leads_in(other for other in here if other.station == one.station), floor.stations[one.station].leads
    if one.participant and leads < asked:
        return f"{floor.title(one.station)} needs its {'lead' if asked == 1 else f'{asked} leads'} first"
    if not leads:
        return f"{floor.title(one.station)} has no lead for a supervised mentor"
    return f"{floor.title(one.station)} needs another lead for one more supervised mentor"


def _too_few(floor: Floor, cleared: Iterable[Placed], participant: str, stations: tuple[str, ...]) -> str:
    """Say that nowhere as many are cleared as the participant takes, or nothing where somewhere they are."""
    counts = {slug: {one.mentor for one in cleared if one.station == slug} for slug in stations}
    if any(len(counts[slug]) >= floor.wanted(participant, slug) for slug in stations):
        return ""
    best = max(stations, key=lambda slug: len(counts[slug]))
    have, names = len(counts[best]), ", ".join(floor.call(who) for who in sorted(counts[best]))
    return (
        f"{floor.call(participant)} takes {floor.wanted(participant, best)} mentors at {floor.title(best)}, "
        f"and only {have} {'is' if have == 1 else 'are'} cleared: {names}."
    )


def _could_in_words(floor: Floor, could: Collection[Placed]) -> str:
    return f"{UNPLACED}{_named(floor, could)} could."


def _named(floor: Floor, those: Iterable[Placed]) -> str:
    names = list(dict.fromkeys(floor.call(one.mentor) for one in those))
    return ", ".join(names[:NEAREST]) + (f" and {len(names) - NEAREST} more" if len(names) > NEAREST else "")


def _busy_in_words(
    floor: Floor, cleared: Iterable[Placed], busy: Mapping[str, Placed], could: Collection[Placed]
) -> str:  # fmt: skip
    cleared = tuple(cleared)
    participant = cleared[0].participant or ""
    name = floor.call(participant)
    away = {who for who, one in busy.items() if one.participant != participant}
    people = [who for who in dict.fromkeys(one.mentor for one in cleared) if who in away]
    where = [_where(floor, busy[who]) for who in people[:NEAREST]]
    more = f" and {len(people) - NEAREST} more elsewhere" if len(people) > NEAREST else ""
    free = ", ".join(dict.fromkeys(floor.call(one.mentor) for one in could))
    if free:
        return f"{name} takes more mentors than are cleared and free ({free}); the others: {', '.join(where)}{more}."
    return f"Everybody who is cleared for {name} is placed elsewhere in this block: {', '.join(where)}{more}."


def _short_in_words(floor: Floor, short: Competing) -> str:
    people, mentors = ([floor.call(code) for code in codes] for codes in (short.participants, short.mentors))
    return (
        f"{', '.join(people)} take {short.wanted} mentors between them, and only {len(mentors)} are cleared for any of "
        f"them and not needed as leads: {', '.join(mentors)}."
    )


def _where(floor: Floor, one: Placed) -> str:
    doing = f"with {floor.call(one.participant)}" if one.participant else "leads" if one.role == LEAD else "on duty"
    return f"{floor.call(one.mentor)} ({doing}, {floor.title(one.station)})"


def by_participant(gaps: Iterable[Gap]) -> tuple[Uncovered, ...]:
    """Return gaps put together where a participant lacks mentors for the same reason in several blocks."""

    def alike(gap: Gap) -> tuple[str, str, str]:
        return (gap.participant, gap.cause, gap.because)

    return tuple(Uncovered(key[0], tuple(those)) for key, those in groupby(sorted(gaps, key=alike), key=alike))


def find_lead_gaps(floor: Floor, placed: Collection[Placed], level_of: LevelOf) -> tuple[LeadGap, ...]:
    """Return every station that is open in a block with fewer leads than it takes, and who is free and could lead."""
    found = []
    for (block, station), lacking in leads_lacking(floor, placed).items():
        busy = {one.mentor for one in placed if one.block == block} | {
            who for at, who in (*floor.elsewhere, *floor.unavailable) if at == block
        }
        able = (who for who in floor.volunteers if who not in busy and level_of(who, station, None) >= Level.LEAD)
        found.append(LeadGap(block, station, lacking, tuple(able)))
    return tuple(found)


def as_json(gap: Gap) -> dict[str, Any]:
    """Write a gap as the documented JSON of the plan."""
    return {
        "block": gap.block,
        "participant": gap.participant,
        "station": gap.station,
        "have": gap.have,
        "wanted": gap.wanted,
        "because": [{"cause": gap.cause, "words": gap.because}],
        "nearest": [{"person": one.mentor, "station": one.station, "lacks": list(one.lacks)} for one in gap.nearest],
        "could": [{"person": one.mentor, "station": one.station, "level": one.level} for one in gap.could],
        "competitors": list(gap.competitors),
    }
