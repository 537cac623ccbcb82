"""What no plan may break: who may be where with whom in a block, and why not; pure."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from mentor_training.program.catalog import Level, Need, Station

MENTOR, LEAD, DUTY = "mentor", "lead", "duty"
ROLES = (MENTOR, LEAD, DUTY)


@dataclass(frozen=True)
class Placed:
    """One volunteer in one block: mentor of a participant at a station, lead of a station, or on a duty.

    `level` is their clearance there (with the participant, where there is one), 0 to 3.
    """

    block: int
    station: str
    mentor: str
    role: str
    participant: str | None
    level: int


@dataclass(frozen=True)
class Floor:
    """What a plan is measured against: who and what is there, and how many mentors a participant takes at a station.

    `elsewhere` names, by block and code, the other session where somebody is placed at the same time. `missed` are the
    blocks that participants do not attend, `unavailable` those in which volunteers say that they cannot come: both are
    pairs of a block and a code. Who is not available is not offered, and may be placed all the same. `closed` says in
    words, by block and station, since when and by whom a station is closed: nobody is placed there.
    """

    blocks: tuple[int, ...]
    stations: Mapping[str, Station]
    participants: tuple[str, ...]
    volunteers: tuple[str, ...]
    supervised_per_lead: int
    keep_apart: Mapping[str, Collection[str]] = field(default_factory=dict)
    mentors: Mapping[tuple[str, str], int] = field(default_factory=dict)
    names: Mapping[str, str] = field(default_factory=dict)
    elsewhere: Mapping[tuple[int, str], str] = field(default_factory=dict)
    missed: Collection[tuple[int, str]] = frozenset()
    unavailable: Collection[tuple[int, str]] = frozenset()
    closed: Mapping[tuple[int, str], str] = field(default_factory=dict)

    @property
    def attended(self) -> tuple[tuple[int, str], ...]:
        """Return every participant-block: the blocks, and in each the participants who attend it."""
        return tuple(
            (block, who) for block in self.blocks for who in self.participants if (block, who) not in self.missed
        )

    def wanted(self, participant: str, station: str) -> int:
        """Return how many mentors a participant takes at a station; 1 where nothing is said."""
        return self.mentors.get((participant, station), 1)

    def call(self, code: str) -> str:
        """Return how people call somebody."""
        return self.names.get(code, code)

    def title(self, station: str) -> str:
        """Return how people call a station."""
        return self.stations[station].title if station in self.stations else station

    @property
    def places(self) -> tuple[str, ...]:
        """Return the stations that are places, not duties, in the order of the session."""
        return tuple(slug for slug, station in self.stations.items() if not station.is_duty)

    def open_places(self, block: int) -> tuple[str, ...]:
        """Return the places that are not closed in a block."""
        return tuple(slug for slug in self.places if (block, slug) not in self.closed)

    def closed_in_words(self, block: int, station: str) -> str:
        """Say that a station is closed in a block, since when and by whom."""
        return f"{self.title(station)} is closed in block {block}: {self.closed[block, station]}."


def mentors_wanted(needs: Iterable[Need], station: Station) -> int:
    """Return the largest `mentors` of the needs that apply at a station; 1 where none does. A rule of this program."""
    return max((need.mentors for need in needs if need.applies_at(station)), default=1)


def refusals(floor: Floor, placed: Collection[Placed], new: Placed, lacks: Sequence[str] = ()) -> tuple[str, ...]:
    """Return, in words, every reason why somebody may not be placed; empty when they may. Rules of this program.

    `placed` is the plan so far, `lacks` says why the level is no higher. Nobody is in two places in a block; level 0
    never works, level 1 only where a lead is on and has room; a station has its capacity, and takes participants only
    once its leads are placed; some are kept apart.
    """
    here = [one for one in placed if one.block == new.block]
    return (
        *_who_and_where(floor, new),
        *_cleared(floor, new, lacks),
        *_in_one_place(floor, here, new),
        *_room(floor, here, new),
        *_led(floor, here, new),
        *_supervision(floor, here, new),
    )


def removal_refusals(floor: Floor, placed: Collection[Placed], gone: Placed) -> tuple[str, ...]:
    """Return why somebody may not be taken out of a plan: a lead on whom a station or supervised mentors depend.

    A lead who may no longer lead answers for nobody and may always go. A rule of this program.
    """
    if gone.role != LEAD or gone.level < Level.LEAD:
        return ()
    here = [one for one in placed if (one.block, one.station) == (gone.block, gone.station) and one != gone]
    return (*_left_supervised(floor, here, gone), *_left_unled(floor, here, gone))


def _left_supervised(floor: Floor, here: Collection[Placed], gone: Placed) -> Iterator[str]:
    supervised = _supervised(here)
    if len(supervised) > leads_in(here) * floor.supervised_per_lead:
        names = ", ".join(floor.call(one.mentor) for one in supervised)
        work = "works" if len(supervised) == 1 else "work"
        lead, where = floor.call(gone.mentor), floor.title(gone.station)
        yield f"{lead} leads {where} while {names} {work} there supervised; place another lead or take them out first."


def _left_unled(floor: Floor, here: Collection[Placed], gone: Placed) -> Iterator[str]:
    station = floor.stations.get(gone.station)
    if station and any(one.participant for one in here) and leads_in(here) < station.leads:
        lead = floor.call(gone.mentor)
        yield f"{_asks(station)} while participants are there; place another lead before {lead} is taken out."


def _who_and_where(floor: Floor, new: Placed) -> Iterator[str]:
    if new.block not in floor.blocks:
        yield f"The session has no block {new.block}."
    if new.station not in floor.stations:
        yield f"{floor.title(new.station)} is not open in this session."
    if (new.block, new.station) in floor.closed:
        yield floor.closed_in_words(new.block, new.station)
    if new.mentor not in floor.volunteers:
        yield f"{floor.call(new.mentor)} is not expected at this session."
    if new.participant is not None and new.participant not in floor.participants:
        yield f"{floor.call(new.participant)} is not expected at this session."
    if new.participant is not None and (new.block, new.participant) in floor.missed:
        yield f"{floor.call(new.participant)} does not attend block {new.block}."
    if new.role == DUTY and new.station in floor.stations and not floor.stations[new.station].is_duty:
        yield f"{floor.title(new.station)} is a place, not a duty; a mentor works there with a participant."
    if new.role not in ROLES or (new.role == MENTOR) != (new.participant is not None):
        yield "A mentor is placed with a participant; a lead and somebody on a duty are placed without."


def _cleared(floor: Floor, new: Placed, lacks: Sequence[str]) -> Iterator[str]:
    who, where = floor.call(new.mentor), floor.title(new.station)
    if new.participant and new.mentor in floor.keep_apart.get(new.participant, ()):
        yield f"{who} and {floor.call(new.participant)} are kept apart."
    if new.level == Level.NOT_YET:
        company = f" with {floor.call(new.participant)}" if new.participant else ""
        yield f"{who} is not cleared for {where}{company}."
        yield from (f"{who}: {reason}." for reason in lacks)
    elif new.role == LEAD and new.level < Level.LEAD:
        yield f"{who} may not lead {where} yet."
        yield from (f"{who}: {reason}." for reason in lacks)


def _in_one_place(floor: Floor, here: Collection[Placed], new: Placed) -> Iterator[str]:
    for code in (new.mentor, new.participant or ""):
        if (new.block, code) in floor.elsewhere:
            yield f"{floor.call(code)} is placed in session {floor.elsewhere[new.block, code]} at this time already."
    for one in here:
        if one.mentor == new.mentor:
            company = f" with {floor.call(one.participant)}" if one.participant else f" as {one.role}"
            where = f"{floor.title(one.station)}{company}"
            yield f"{floor.call(new.mentor)} is at {where} in this block already."
        elif new.participant and one.participant == new.participant and one.station != new.station:
            yield f"{floor.call(new.participant)} is at {floor.title(one.station)} in this block already."
            break


def _room(floor: Floor, here: Collection[Placed], new: Placed) -> Iterator[str]:
    station = floor.stations.get(new.station)
    if station and new.participant and is_full(station, here, new.participant):
        count = len(_participants_at(here, new.station))
        yield f"{station.title} takes {station.capacity} participants at once; {count} are there in this block."


def is_full(station: Station, here: Iterable[Placed], participant: str) -> bool:
    """Say whether a station has no room for a participant in a block; a duty with capacity 0 has room for all."""
    if station.is_duty and station.capacity == 0:
        return False
    return len(_participants_at(here, station.slug) | {participant}) > station.capacity


def _participants_at(here: Iterable[Placed], slug: str) -> set[str]:
    return {one.participant for one in here if one.station == slug and one.participant}


def _led(floor: Floor, here: Collection[Placed], new: Placed) -> Iterator[str]:
    station = floor.stations.get(new.station)
    leads = leads_in(one for one in here if one.station == new.station)
    if station and new.participant and leads < station.leads:
        have = "none is" if not leads else "1 is" if leads == 1 else f"{leads} are"
        yield f"{_asks(station)}, and {have} placed there in this block; place a lead first."


def _asks(station: Station) -> str:
    return f"{station.title} asks for {station.leads} {'lead' if station.leads == 1 else 'leads'}"


def _supervision(floor: Floor, here: Collection[Placed], new: Placed) -> Iterator[str]:
    if new.level != Level.SUPERVISED or new.role == LEAD:
        return
    there = [one for one in here if one.station == new.station]
    leads, supervised = leads_in(there), len(_supervised(there))
    who, where = floor.call(new.mentor), floor.title(new.station)
    if not leads:
        yield f"{who} works supervised there, and no lead is on at {where} in this block; place a lead first."
    elif supervised + 1 > leads * floor.supervised_per_lead:
        most = f"{floor.supervised_per_lead} for each lead are the most"
        yield f"{who} works supervised there, and {supervised} at {where} do already with {leads} on as lead; {most}."


def unsupervised(floor: Floor, placed: Iterable[Placed], one: Placed) -> tuple[str, ...]:
    """Return why somebody who is placed is without the lead that they need now, empty when they are not.

    A lead may be stood down after others were placed under them. A rule of this program.
    """
    if one.level != Level.SUPERVISED or one.role == LEAD:
        return ()
    return tuple(_supervision(floor, [other for other in placed if other.block == one.block and other != one], one))


def leads_in(there: Iterable[Placed]) -> int:
    """Return how many lead among those at one station in one block; who may no longer lead answers for nobody."""
    return sum(one.role == LEAD and one.level >= Level.LEAD for one in there)


def _supervised(there: Iterable[Placed]) -> list[Placed]:
    return [one for one in there if one.role != LEAD and one.level == Level.SUPERVISED]


def leads_lacking(floor: Floor, placed: Collection[Placed]) -> dict[tuple[int, str], int]:
    """Return, for each block and station that is open in it, how many of its `leads` are not placed; only what lacks.

    A station is open in a block where a participant is placed and it was not closed. A rule of this program.
    """
    lacking = {}
    for block in floor.blocks:
        for slug, station in floor.stations.items():
            there = [one for one in placed if (one.block, one.station) == (block, slug)]
            is_open = any(one.participant for one in there) and (block, slug) not in floor.closed
            if is_open and leads_in(there) < station.leads:
                lacking[block, slug] = station.leads - leads_in(there)
    return lacking


def plan_faults(floor: Floor, placed: Sequence[Placed]) -> tuple[str, ...]:
    """Return, in words, every rule that a whole plan breaks, empty when it breaks none.

    Each placement is asked as if it were the last one made.
    """
    found = (
        reason
        for place, one in enumerate(placed)
        for reason in refusals(floor, [*placed[:place], *placed[place + 1 :]], one)
    )
    return tuple(dict.fromkeys(found))
