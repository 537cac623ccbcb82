"""Whom to observe next: each line's gain held against counting by hand on tiny floors."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.planning.rules import Floor
from mentor_training.planning.solver.question import Levels
from mentor_training.planning.suggestions import Ahead, Candidate, Key, Pair, suggest
from mentor_training.program.catalog import Ladder, Station

PEOPLE, PARTICIPANTS, SKILLS = ("v-1", "v-2", "v-3"), ("p-1", "p-2", "p-3"), ("guarding", "leading")
STATIONS = {slug: Station(slug, slug.title(), Ladder(()), capacity=9) for slug in ("lane", "games")}
PAIRS = tuple((slug, one) for slug in STATIONS for one in PARTICIPANTS)
KEYS = tuple((who, skill) for who in PEOPLE for skill in SKILLS)


@dataclass(frozen=True)
class Tiny:
    """Who can work with whom, and with whom as well if a set of skills were signed off; each takes one mentor."""

    able: frozenset[tuple[str, Pair]]
    opens: tuple[tuple[Key, Pair, bool], ...]
    blocks: int
    teams: tuple[int, ...] = (1, 1, 1)
    capacity: int = 9

    def opened(self, who: str, skills: frozenset[str]) -> frozenset[Pair]:
        """Return what opens: some by the one skill, some only when both are there."""
        return frozenset(
            pair
            for (person, skill), pair, needs_both in self.opens
            if person == who and skill in skills and (not needs_both or skills == set(SKILLS))
        )

    def ahead(self) -> Ahead:
        stations = {slug: replace(station, capacity=self.capacity) for slug, station in STATIONS.items()}
        wanted = {(one, slug): team for one, team in zip(PARTICIPANTS, self.teams, strict=True) for slug in STATIONS}
        floor = Floor(tuple(range(1, self.blocks + 1)), stations, PARTICIPANTS, PEOPLE, 2, {}, wanted)
        return Ahead(floor, self._levels, self.opened)

    def _levels(self, slug: str, participant: str | None) -> Levels:
        return np.array([2 * ((who, (slug, participant)) in self.able) for who in PEOPLE], dtype=np.uint8)

    def by_hand(self, held: Iterable[Key]) -> int:
        """Count what can be covered by trying every way to give each participant a mentor or none."""
        skills = {who: frozenset(skill for person, skill in held if person == who) for who in PEOPLE}
        edges = set(self.able) | {(who, pair) for who in PEOPLE for pair in self.opened(who, skills[who])}
        able = {one: {who for who, (_, whom) in edges if whom == one} for one in PARTICIPANTS}
        return self.blocks * _most(list(PARTICIPANTS), able, frozenset())


def _most(left: list[str], able: dict[str, set[str]], used: frozenset[str]) -> int:
    if not left:
        return 0
    without = _most(left[1:], able, used)
    return max([without, *(1 + _most(left[1:], able, used | {who}) for who in able[left[0]] - used)])


tiny = st.builds(
    Tiny,
    st.frozensets(st.tuples(st.sampled_from(PEOPLE), st.sampled_from(PAIRS)), max_size=6),
    st.lists(st.tuples(st.sampled_from(KEYS), st.sampled_from(PAIRS), st.booleans()), max_size=6).map(tuple),
    st.integers(1, 3),
)
CANDIDATES = [Candidate(who, skill, ("o-1", "o-2") if skill == "guarding" else ("o-2",)) for who, skill in KEYS]


@given(st.lists(tiny, min_size=1, max_size=2), st.integers(0, 50), st.integers(0, 50))
def test_each_lines_gain_is_what_counting_by_hand_says(floors: list[Tiny], first: int, second: int) -> None:
    """With the skill and without it, beside those of the lines above; and no candidate would have added more."""
    left = {"o-1": first, "o-2": second}
    found = suggest([one.ahead() for one in floors], CANDIDATES, left)
    chosen: set[Key] = set()
    now = sum(one.by_hand(()) for one in floors)
    assert found.before == now
    for line in found.lines:
        chosen_before = frozenset(chosen)
        chosen.add((line.person, line.skill))
        then = sum(one.by_hand(chosen) for one in floors)
        assert (line.gain, line.coverable) == (then - now, then)
        assert line.gain == max(
            sum(one.by_hand({*chosen_before, other.key}) for one in floors) - now
            for other in CANDIDATES
            if any(left[code] >= 15 for code in other.observers)
        )
        assert line.gain > 0
        left[line.observer] -= 15
        now = then
    assert found.after == now
    assert found.wanted == sum(9 // 3 * one.blocks for one in floors)


@given(tiny, st.integers(0, 50), st.integers(0, 50))
def test_no_observer_has_more_to_do_than_time_and_all_may_do_what_they_are_given(
    floor: Tiny, first: int, second: int
) -> None:
    """15 minutes each, unless it is said otherwise."""
    minutes = {"o-1": first, "o-2": second}
    lines = suggest([floor.ahead()], CANDIDATES, minutes).lines
    for code, time in minutes.items():
        assert sum(15 for line in lines if line.observer == code) <= time
    assert all(line.observer == "o-2" or line.skill == "guarding" for line in lines)
    assert len({(line.person, line.skill) for line in lines}) == len(lines)


@given(tiny, st.integers(0, 3))
def test_what_is_called_proven_no_other_choice_beats(floor: Tiny, count: int) -> None:
    """Every set of as many candidates is tried by hand."""
    found = suggest([floor.ahead()], CANDIDATES, {"o-2": 15 * count})
    best = max(floor.by_hand(those) for those in combinations(KEYS, count))
    assert found.after <= best
    if found.is_proven:
        assert found.after == best


@given(tiny, st.tuples(*[st.integers(1, 3)] * 3), st.integers(1, 2), st.frozensets(st.sampled_from(KEYS)))
def test_more_skills_never_cover_less(floor: Tiny, teams: tuple[int, ...], capacity: int, held: frozenset[Key]) -> None:
    """Also where participants take several mentors and stations have little room: what is proven rests on it."""
    ahead = replace(floor, teams=teams, capacity=capacity).ahead()
    for key in KEYS:
        assert ahead.coverable(held) <= ahead.coverable(held | {key})


def test_two_skills_that_open_only_together_are_not_found_and_it_is_not_called_proven() -> None:
    """Line by line neither adds anything: the honest end of a greedy choice."""
    both = tuple(((("v-1", skill), ("lane", "p-1"), True)) for skill in SKILLS)
    found = suggest([Tiny(frozenset(), both, 1).ahead()], CANDIDATES, {"o-2": 60})
    assert (found.lines, found.before, found.at_most, found.is_proven) == ((), 0, 1, False)
