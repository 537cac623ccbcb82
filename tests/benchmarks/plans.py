"""The best plan of a floor: how long until its coverage is proven, and how good the other aims are, at three sizes.

A floor of 60 participants and 90 mentors in four blocks at six stations, then five and twenty times that. Everybody's
levels are drawn; each participant's card was read by ten mentors. Then the first two once more with some mentors away
in each block, so that no two blocks are alike. The time is the clock's: it is what a coordinator waits for. Run it with
`python -m tests.benchmarks.plans`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache, partial
from time import perf_counter

import numpy as np
from scipy.sparse import csr_array
from scipy.sparse.csgraph import maximum_bipartite_matching

from mentor_training.planning.rules import Floor
from mentor_training.planning.solver.bounds import able_pairs, covered_bound
from mentor_training.planning.solver.highs import maximum
from mentor_training.planning.solver.model import Choices, choices_of, rows_of
from mentor_training.planning.solver.question import Levels, Question
from mentor_training.planning.solver.search import Found, best_plan
from mentor_training.planning.solver.watch import Share
from mentor_training.program.catalog import Ladder, Station
from tests.benchmarks.data import Size
from tests.benchmarks.measure import Result, run

PARTICIPANTS, MENTORS, STATIONS, BLOCKS, READERS, NEEDS = 60, 90, 6, 4, 10, 14
BOUND = 3.0
AWAY, MOST_WITH_SOME_AWAY = 2, 5
# How many times the first floor, and the seconds that it has.
SIZES = ((1, 60.0), (5, 120.0), (20, 120.0))


def measured(size: Size) -> Iterator[Result]:
    """Yield, for each size, the time to proven coverage beside the bare bound, then each aim in its note."""
    for times, seconds in SIZES[:1] if size.volunteers < 1000 else SIZES:
        asked = made_up(times)
        steps: list[float] = []
        began = perf_counter()
        found = best_plan(asked, seconds, partial(note_moment, steps))
        whole = perf_counter() - began
        coverage = steps[1] - began if len(steps) > 1 else whole
        what = f"{PARTICIPANTS * times} participants: coverage {'proven' if found.aims[0].proven else 'NOT PROVEN'}"
        yield Result(what, coverage, "matching, bound and a start", bare(asked), BOUND if times == 1 else None)
        yield Result(f"{PARTICIPANTS * times} participants: the whole plan", whole, note=in_words(found))
        if times <= MOST_WITH_SOME_AWAY:
            yield with_some_late(asked, AWAY * times, seconds)


def with_some_late(asked: Question, away: int, seconds: float) -> Result:
    """Plan the floor with some mentors away in each block."""
    began = perf_counter()
    found = best_plan(with_some_away(asked, away), seconds)
    what = f"{len(asked.floor.participants)} participants, other {away} mentors away in each block: the whole plan"
    return Result(what, perf_counter() - began, note=in_words(found))


def with_some_away(asked: Question, away: int) -> Question:
    """Return the floor with so many of the mentors in another session in each block, each time others."""
    chance = np.random.default_rng(20261017)
    floor = asked.floor
    gone = chance.permutation(floor.volunteers)[: away * BLOCKS].reshape(BLOCKS, away)
    elsewhere = {(block, str(code)): "s-99" for block, those in zip(floor.blocks, gone, strict=True) for code in those}
    return replace(asked, floor=replace(floor, elsewhere=elsewhere))


def note_moment(steps: list[float], _step: str) -> None:
    """Note when a step began."""
    steps.append(perf_counter())


def in_words(found: Found) -> str:
    """Tell each aim's value, its bound, and whether it is proven or how far it is from it."""
    return ", ".join(
        f"{aim.name} {aim.value}/{aim.bound} {'proven' if aim.proven else f'{aim.gap:.2%} off'}" for aim in found.aims
    )


def bare(asked: Question) -> float:
    """Return how long one matching, the bound by a flow, and the solver's start on the same rows take."""
    began = perf_counter()
    choices = choices_of(asked, [asked.block(1)])
    matched(choices)
    covered_bound(choices)
    size = sum(choices.sizes)
    maximum(np.zeros(size), [rows_of(choices).constraint(size)], np.ones(size), np.ones(size), Share(60.0))
    return perf_counter() - began


def matched(choices: Choices) -> int:
    """Return how many participants the largest matching gives a mentor."""
    people, mentors = able_pairs(choices)
    graph = csr_array((np.ones(len(people), np.int8), (people, mentors)))
    return int((maximum_bipartite_matching(graph, perm_type="column") >= 0).sum())


def made_up(times: int) -> Question:
    """Draw a floor so many times the first; the same one for the same number."""
    chance = np.random.default_rng(20261017)
    participants = tuple(f"p-{number:04}" for number in range(PARTICIPANTS * times))
    volunteers = tuple(f"v-{number:04}" for number in range(MENTORS * times))
    slugs = tuple(f"station-{number}" for number in range(STATIONS))
    room = -(-len(participants) * 14 // (10 * STATIONS))
    stations = {slug: Station(slug, slug, Ladder(()), capacity=room, leads=1 + at % 2) for at, slug in enumerate(slugs)}
    at_station = chance.choice(4, p=(0.25, 0.25, 0.35, 0.15), size=(len(slugs), len(volunteers))).astype(np.uint8)
    on_need = chance.choice(np.array((0, 1, 3), np.uint8), p=(0.1, 0.2, 0.7), size=(NEEDS, len(volunteers)))
    applies = chance.random((NEEDS, len(slugs))) < 0.4
    needs = [chance.choice(NEEDS, size=chance.integers(3, 9), replace=False) for _ in participants]
    readers = [chance.choice(len(volunteers), size=READERS, replace=False) for _ in participants]
    wished = {code: chance.choice(readers[at], size=2, replace=False) for at, code in enumerate(participants)}

    @cache
    def levels_at(slug: str, participant: str | None) -> Levels:
        place = slugs.index(slug)
        if participant is None:
            return np.array(at_station[place], np.uint8)
        at = participants.index(participant)
        found = np.zeros(len(volunteers), np.uint8)
        those = readers[at]
        found[those] = np.minimum.reduce(
            [at_station[place, those], *(on_need[need, those] for need in needs[at] if applies[need, place])]
        )
        return found

    floor = Floor(
        tuple(range(1, BLOCKS + 1)), stations, participants, volunteers, 2,
        mentors={(code, slug): 2 for code in participants[::12] for slug in slugs},
    )  # fmt: skip
    favors = {(code, volunteers[at]): 1 for code, those in wished.items() for at in those}
    lacking = {
        code: int(minutes)
        for code, minutes in zip(volunteers, chance.integers(0, 40, len(volunteers)) * 15, strict=True)
    }
    return Question(floor, levels_at, (), favors, lacking)


if __name__ == "__main__":
    run(measured)
