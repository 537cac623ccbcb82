"""A first proposal for a session's plan, not proven best: greedy, and never past a rule; pure.

Leads are set first, then whoever has the fewest ways is placed first. What the proposal leaves uncovered is not shown
to be impossible.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from itertools import combinations

from mentor_training.planning.rules import LEAD, MENTOR, Floor, Placed, refusals
from mentor_training.program.catalog import Level

LevelOf = Callable[[str, str, str | None], int]
Team = tuple[Placed, ...]
MOST_TRIED = 12


def propose(
    floor: Floor, standing: Collection[Placed], level_of: LevelOf, wishes: Mapping[str, Collection[str]]
) -> Team:
    """Return whom to add to a plan that stands, so that more of it is covered and no rule is broken.

    `level_of` gives the clearance of a volunteer at a station, with a participant or None. Whoever stands stays.
    A first proposal, not proven best: most constrained participant first, independent before supervised, the same
    mentor throughout a session where that goes, wishes heard, stations changed from block to block.
    """
    draft = Draft(floor, level_of, tuple(standing), wishes)
    for block in floor.blocks:
        draft.set_leads(block)
        draft.cover(block)
        draft.release_idle_leads(block)
        draft.cover(block)
    return tuple(draft.added)


@dataclass
class Draft:
    """A plan in the making: what stands, and what is added to it."""

    floor: Floor
    level_of: LevelOf
    standing: Team
    wishes: Mapping[str, Collection[str]]
    added: list[Placed] = field(default_factory=list)

    @property
    def placed(self) -> Team:
        """Return the whole plan as it is now."""
        return (*self.standing, *self.added)

    @cached_property
    def uses(self) -> Mapping[str, int]:
        """Return, for each volunteer, with how many participants at how many places they may work."""
        pairs = [(slug, one) for slug in self.floor.places for one in self.floor.participants]
        return {who: sum(self.level_of(who, *pair) > 0 for pair in pairs) for who in self.floor.volunteers}

    def free(self, block: int) -> list[str]:
        """Return who is nowhere yet in a block."""
        busy = {one.mentor for one in self.placed if one.block == block}
        busy |= {code for other, code in self.floor.elsewhere if other == block}
        return [mentor for mentor in self.floor.volunteers if mentor not in busy]

    def add(self, team: Team) -> bool:
        """Place a team if no rule speaks against any of them; all or none."""
        before = len(self.added)
        for new in team:
            if refusals(self.floor, self.placed, new):
                del self.added[before:]
                return False
            self.added.append(new)
        return True

    def set_leads(self, block: int) -> None:
        """Give each place its leads, at least one where somebody may lead: those who are the least wanted elsewhere.

        Who led there before in this session leads there again.
        """
        for slug in self.floor.places:
            leads = [one for one in self.placed if one.role == LEAD and one.station == slug]
            led = {one.mentor for one in leads}
            able = [who for who in self.free(block) if self.level_of(who, slug, None) >= Level.LEAD]
            able.sort(key=lambda who: (who not in led, self.uses[who]))
            have = sum(one.block == block for one in leads)
            for who in able[: max(0, max(1, self.floor.stations[slug].leads) - have)]:
                self.add((Placed(block, slug, who, LEAD, None, Level.LEAD),))

    def release_idle_leads(self, block: int) -> None:
        """Take back proposed leads where none is asked for and nobody works supervised, so that they can mentor."""
        here = [one for one in self.placed if one.block == block and one.participant]
        stations = self.floor.stations
        asked = {one.station for one in here if one.station in stations and stations[one.station].leads}
        asked |= {one.station for one in here if one.level == Level.SUPERVISED}
        self.added = [one for one in self.added if one.block != block or one.role != LEAD or one.station in asked]

    def cover(self, block: int) -> None:
        """Place every participant of a block who lacks mentors, the one with the fewest ways first."""
        choices = {one: Choices(self, block, one) for one in self.floor.participants}
        waiting = sorted((one for one in choices if choices[one].is_wanted), key=lambda one: (choices[one].ways, one))
        for participant in waiting:
            any(self.add(team) for team in choices[participant].teams())


@dataclass
class Choices:
    """The ways in which one participant can be covered in one block."""

    draft: Draft
    block: int
    participant: str

    @cached_property
    def with_them(self) -> Team:
        """Return who is placed with the participant in this block already, cleared or no longer."""
        return tuple(one for one in self.draft.placed if (one.block, one.participant) == (self.block, self.participant))

    @property
    def there(self) -> Team:
        """Return who of them covers the participant: who is no longer cleared does not."""
        return tuple(one for one in self.with_them if one.level > Level.NOT_YET)

    @property
    def is_wanted(self) -> bool:
        """Say whether mentors are lacking."""
        floor = self.draft.floor
        return not self.with_them or len(self.there) < floor.wanted(self.participant, self.with_them[0].station)

    @property
    def stations(self) -> tuple[str, ...]:
        """Return where they can be: where they are already, or any place."""
        return (self.with_them[0].station,) if self.with_them else self.draft.floor.places

    @property
    def ways(self) -> int:
        """Return in how many ways somebody who is free could be placed."""
        return sum(len(self.able(slug)) for slug in self.stations)

    def able(self, slug: str) -> list[Placed]:
        """Return who is free and cleared at a station."""
        levels = ((who, self.draft.level_of(who, slug, self.participant)) for who in self.draft.free(self.block))
        return [
            Placed(self.block, slug, who, MENTOR, self.participant, level)
            for who, level in levels
            if level > Level.NOT_YET
        ]

    def teams(self) -> list[Team]:
        """Return teams that are large enough, the best first."""
        return sorted(self._teams(), key=self._cost())

    def _teams(self) -> Iterator[Team]:
        cost = self._cost()
        for slug in self.stations:
            able = sorted(self.able(slug), key=lambda one: cost((one,)))
            size = self.draft.floor.wanted(self.participant, slug) - len(self.there)
            yield from combinations(able if size == 1 else able[:MOST_TRIED], size)

    def _cost(self) -> Callable[[Team], tuple[int, ...]]:
        """Compare teams: fewest supervised, fewest new mentors, wishes heard, a led station, one not visited before."""
        draft = self.draft
        before = [one for one in draft.placed if one.participant == self.participant and one.block != self.block]
        known, visited = {one.mentor for one in before}, [one.station for one in before]
        wished = draft.wishes.get(self.participant, ())
        led = {one.station for one in draft.placed if one.block == self.block and one.role == LEAD}

        def cost(team: Team) -> tuple[int, ...]:
            station = team[0].station
            return (
                sum(one.level == Level.SUPERVISED for one in team),
                sum(one.mentor not in known for one in team) if known else 0,
                -sum(one.mentor in wished for one in team),
                int(station not in led and draft.floor.stations[station].leads > 0),
                visited.count(station),
                sum(draft.uses[one.mentor] for one in team),
            )

        return cost
