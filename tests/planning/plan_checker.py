"""What a plan may not do, and what it covers, by the design's words alone: written apart from the solver and the rules.

It knows a floor and a plan by the names of their parts only, is as naive as can be, and imports nothing of the program,
so that what both have wrong would have to be thought wrong twice. The words in quotation marks are the design's.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from itertools import product
from typing import NamedTuple, Protocol

LevelOf = Callable[[str, str, str | None], int]
SUPERVISED, LEADS = 1, 3


class Where(Protocol):
    """One volunteer in one block: with a participant, or with nobody, leading or on a duty."""

    @property
    def block(self) -> int: ...
    @property
    def station(self) -> str: ...
    @property
    def mentor(self) -> str: ...
    @property
    def participant(self) -> str | None: ...
    @property
    def role(self) -> str: ...


class Place(Protocol):
    """A station: room for `capacity` participants at a time, `leads` who answer for it; or a duty, no place."""

    @property
    def capacity(self) -> int: ...
    @property
    def leads(self) -> int: ...
    @property
    def kind(self) -> str: ...


class Gym(Protocol):
    """What is known of a session before anybody is placed."""

    @property
    def blocks(self) -> Sequence[int]: ...
    @property
    def stations(self) -> Mapping[str, Place]: ...
    @property
    def participants(self) -> Sequence[str]: ...
    @property
    def volunteers(self) -> Sequence[str]: ...
    @property
    def supervised_per_lead(self) -> int: ...
    @property
    def keep_apart(self) -> Mapping[str, Collection[str]]: ...
    @property
    def mentors(self) -> Mapping[tuple[str, str], int]: ...
    @property
    def elsewhere(self) -> Mapping[tuple[int, str], str]: ...


class Stands(NamedTuple):
    """A placement of this checker's own making."""

    block: int
    station: str
    mentor: str
    role: str
    participant: str | None


def broken(gym: Gym, plan: Collection[Where], level_of: LevelOf) -> dict[str, int]:
    """Return each of the 'rules that no plan may break' that a plan breaks and where, with by how much."""
    found = [words for one in plan for words in _alone(gym, one, level_of)]
    for block in sorted({one.block for one in plan}):
        here = [one for one in plan if one.block == block]
        found += _in_one_place(block, here)
        for slug in sorted({one.station for one in here} & set(gym.stations)):
            found += _at(gym, block, slug, [one for one in here if one.station == slug], level_of)
    return dict(Counter(found))


def newly_broken(before: Mapping[str, int], after: Mapping[str, int]) -> dict[str, int]:
    """Return what is broken now and was not, or by more than it was: a level may fall under somebody who stands."""
    return {rule: much for rule, much in after.items() if much > before.get(rule, 0)}


def _alone(gym: Gym, one: Where, level_of: LevelOf) -> Iterator[str]:
    """Yield what is wrong with one placement whatever else is planned."""
    who = f"{one.mentor} at {one.station} with {one.participant} in block {one.block}"
    if one.block not in gym.blocks or one.station not in gym.stations:
        yield f"no such block or station: {who}"
    if one.mentor not in gym.volunteers or (one.participant and one.participant not in gym.participants):
        yield f"not attending: {who}"
    if (one.block, one.mentor) in gym.elsewhere or (one.block, one.participant or "") in gym.elsewhere:
        yield f"in another session at that time: {who}"
    if level_of(one.mentor, one.station, one.participant) == 0:
        yield f"'level 0 never': {who}"
    if one.role == "lead" and level_of(one.mentor, one.station, None) < LEADS:
        yield f"'a lead is a mentor whose level at a station is lead': {who}"
    if one.participant and one.mentor in gym.keep_apart.get(one.participant, ()):
        yield f"'keep apart': {who}"


def _in_one_place(block: int, here: Collection[Where]) -> Iterator[str]:
    """Yield who is in two places in a block."""
    for mentor in {one.mentor for one in here}:
        if sum(one.mentor == mentor for one in here) > 1:
            yield f"'a mentor is in one place per block': {mentor} in {block}"
    for participant in {one.participant for one in here if one.participant}:
        if len({one.station for one in here if one.participant == participant}) > 1:
            yield f"'every attending participant, in every block, at one station': {participant} in {block}"


def _at(gym: Gym, block: int, slug: str, there: Collection[Where], level_of: LevelOf) -> Iterator[str]:
    """Yield what is wrong at one station in one block, as often as something is too many or lacking."""
    place, where = gym.stations[slug], f"{slug} in {block}"
    people = {one.participant for one in there if one.participant}
    if place.kind != "duty" or place.capacity:
        yield from [f"'station capacity': {where}"] * (len(people) - place.capacity)
    leads = sum(one.role == "lead" and level_of(one.mentor, slug, None) >= LEADS for one in there)
    supervised = sum(one.role != "lead" and _level(one, level_of) == SUPERVISED for one in there)
    yield from ["'at most supervised_per_lead for each': " + where] * (supervised - leads * gym.supervised_per_lead)
    if people:
        yield from [f"'leads per open station': {where}"] * (place.leads - leads)


def _level(one: Where, level_of: LevelOf) -> int:
    return level_of(one.mentor, one.station, one.participant)


def too_many(gym: Gym, plan: Collection[Where]) -> list[str]:
    """Return whom a plan gives more mentors than they take; by hand that may be, but nobody proposes it."""
    teams = Counter((one.block, one.participant, one.station) for one in plan if one.participant)
    return [f"{count} for {key}" for key, count in teams.items() if count > gym.mentors.get((key[1] or "", key[2]), 1)]


def covered(gym: Gym, plan: Collection[Where], level_of: LevelOf) -> set[tuple[int, str]]:
    """Return the blocks and participants who have 'as many mentors as' they take, each cleared."""
    found = set()
    for block, participant in product(gym.blocks, gym.participants):
        team = [one for one in plan if (one.block, one.participant) == (block, participant)]
        cleared = [one for one in team if _level(one, level_of) > 0]
        if cleared and len(cleared) >= gym.mentors.get((participant, cleared[0].station), 1):
            found.add((block, participant))
    return found


def lonely(gym: Gym, plan: Collection[Where], level_of: LevelOf) -> Iterator[tuple[int, str, str, str]]:
    """Yield each uncovered participant with a free mentor who alone would cover them and breaks no rule."""
    having = covered(gym, plan, level_of)
    for block, participant, slug, mentor in product(gym.blocks, gym.participants, gym.stations, gym.volunteers):
        busy = any((one.block, one.mentor) == (block, mentor) for one in plan)
        if (block, participant) in having or busy or gym.stations[slug].kind == "duty":
            continue
        more = [*plan, Stands(block, slug, mentor, "mentor", participant)]
        if (block, participant) in covered(gym, more, level_of) and not broken(gym, more, level_of):
            yield block, participant, slug, mentor


def most_covered(gym: Gym, standing: Collection[Where], level_of: LevelOf, block: int) -> int:
    """Return how many participants the best of all plans covers in a block, with whoever stands left standing."""
    here = [one for one in standing if one.block == block]
    busy = {one.mentor for one in here}
    plans: list[list[Where]] = [list(here)]
    for mentor in (code for code in gym.volunteers if code not in busy):
        plans = [[*plan, *more] for plan in plans for more in _ways(gym, block, mentor, plan, level_of)]
    legal = (plan for plan in plans if not broken(gym, plan, level_of))
    return max((len(covered(gym, plan, level_of)) for plan in legal), default=0)


def _ways(gym: Gym, block: int, mentor: str, plan: Collection[Where], level_of: LevelOf) -> Iterator[list[Where]]:
    """Yield each way of using a mentor in a block, and that of not using them.

    Leads come in any order with the supervised, so that rules which wait for a lead are asked at the end alone.
    """
    yield []
    for slug, place in gym.stations.items():
        if place.kind == "duty":
            continue
        for role, participant in (("lead", None), *(("mentor", code) for code in gym.participants)):
            one = Stands(block, slug, mentor, role, participant)
            alone = [*_alone(gym, one, level_of), *_in_one_place(block, [*plan, one])]
            full = sum(other.participant == participant for other in plan) >= gym.mentors.get(
                (participant or "", slug), 1
            )
            if not alone and not (participant and full):
                yield [one]
