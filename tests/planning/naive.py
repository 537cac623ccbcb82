"""The rules that no plan may break, written down a second time and as plainly as can be, to check plans with."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator

from mentor_training.planning.rules import Floor, Placed

LevelOf = Callable[[str, str, str | None], int]


def breaches(floor: Floor, plan: Collection[Placed], level_of: LevelOf) -> Iterator[str]:
    """Yield what a plan breaks: places per block, levels, leads for the supervised, capacity, keep apart, expected."""
    for block in {one.block for one in plan}:
        yield from _in_block(floor, [one for one in plan if one.block == block], block)
    for one in plan:
        if level_of(one.mentor, one.station, one.participant) < {"lead": 3}.get(one.role, 1):
            yield "a level too low"
        if one.mentor in floor.keep_apart.get(one.participant or "", ()):
            yield "kept apart and paired"
        if one.mentor not in floor.volunteers or (one.participant and one.participant not in floor.participants):
            yield "somebody not expected"


def _in_block(floor: Floor, here: Collection[Placed], block: int) -> Iterator[str]:
    if block not in floor.blocks:
        yield f"block {block}"
    mentors = [one.mentor for one in here]
    if len(mentors) != len(set(mentors)):
        yield "a mentor in two places"
    for participant in {one.participant for one in here if one.participant}:
        if len({one.station for one in here if one.participant == participant}) > 1:
            yield "a participant at two stations"
    for slug in {one.station for one in here}:
        yield from _at_station(floor, [one for one in here if one.station == slug], slug)


def _at_station(floor: Floor, there: Collection[Placed], slug: str) -> Iterator[str]:
    station = floor.stations[slug]
    people = {one.participant for one in there if one.participant}
    if len(people) > station.capacity and not (station.kind == "duty" and station.capacity == 0):
        yield "more participants than the station takes"
    leads = sum(1 for one in there if one.role == "lead")
    if people and leads < station.leads:
        yield "participants and not the leads that the station asks for"
    if sum(1 for one in there if one.role != "lead" and one.level == 1) > leads * floor.supervised_per_lead:
        yield "supervised without a lead who answers for them"
