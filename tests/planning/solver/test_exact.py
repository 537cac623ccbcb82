"""The best plan against every plan there is, on floors small enough to go through all of them."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from hypothesis import given, settings
from hypothesis import strategies as st

from mentor_training.planning.rules import LEAD, MENTOR, Floor, Placed
from mentor_training.planning.solver.aims import MORE_IS_BETTER, NAMES, measured
from mentor_training.planning.solver.question import Question
from mentor_training.planning.solver.search import best_plan
from tests.planning.naive import breaches
from tests.planning.solver.floors import LevelsOf, question, station

VOLUNTEERS, PARTICIPANTS, STATIONS = ("v-1", "v-2", "v-3"), ("p-1", "p-2"), ("lane", "games")


@st.composite
def questions(draw: st.DrawFn, blocks: tuple[int, ...] = (1,)) -> tuple[Question, LevelsOf]:
    """Draw a floor of three volunteers, two participants and two stations, with wishes and hours."""
    stations = {slug: station(slug, draw(st.integers(0, 2)), draw(st.integers(0, 1))) for slug in STATIONS}
    levels: LevelsOf = {
        (who, slug, one): draw(st.sampled_from((0, 1, 2, 3) if one is None else (0, 1, 1, 2)))
        for who in VOLUNTEERS
        for slug in STATIONS
        for one in (None, *PARTICIPANTS)
    }
    mentors = {(one, slug): draw(st.sampled_from((1, 1, 2))) for one in PARTICIPANTS for slug in STATIONS}
    away = draw(st.sets(st.tuples(st.sampled_from(blocks), st.sampled_from((*VOLUNTEERS, *PARTICIPANTS))), max_size=2))
    floor = Floor(
        blocks, stations, PARTICIPANTS, VOLUNTEERS, draw(st.integers(1, 2)), {}, mentors,
        elsewhere=dict.fromkeys(away, "s-99"),
    )  # fmt: skip
    favors = {(one, who): draw(st.integers(0, 2)) for one in PARTICIPANTS for who in VOLUNTEERS}
    lacking = {who: draw(st.sampled_from((0, 15, 60))) for who in VOLUNTEERS}
    return question(floor, levels, favors=favors, lacking=lacking), levels


def every_plan(asked: Question, levels: LevelsOf, block: int) -> Iterator[tuple[Placed, ...]]:
    """Yield every plan of a block that breaks no rule, in which whoever is placed has all their mentors."""
    floor = asked.floor
    ways: list[list[Placed | None]] = []
    for who in floor.volunteers:
        own: list[Placed | None] = [None]
        for slug in floor.stations if (block, who) not in floor.elsewhere else ():
            own += [
                Placed(block, slug, who, MENTOR, one, levels[who, slug, one])
                for one in PARTICIPANTS
                if levels[who, slug, one] and (block, one) not in floor.elsewhere
            ]
            own += [Placed(block, slug, who, LEAD, None, 3)] if levels[who, slug, None] == 3 else []
        ways.append(own)
    for chosen in product(*ways):
        plan = tuple(one for one in chosen if one)
        teams = {one.participant: [other for other in plan if other.participant == one.participant] for one in plan}
        whole = all(len(team) == floor.wanted(one, team[0].station) for one, team in teams.items() if one)
        if whole and not list(breaches(floor, plan, lambda *key: levels[key])):
            yield plan


def worth(asked: Question, plan: tuple[Placed, ...]) -> tuple[int, ...]:
    """Return the aims in their order, larger being better."""
    values = measured(asked, plan)
    return tuple(values[name] if name in MORE_IS_BETTER else -values[name] for name in NAMES)


@settings(max_examples=150)
@given(questions())
def test_no_plan_of_a_block_is_better(drawn: tuple[Question, LevelsOf]) -> None:
    """Aim after aim; and what is called proven is."""
    asked, levels = drawn
    found = best_plan(asked)
    assert worth(asked, found.added) == max(worth(asked, plan) for plan in every_plan(asked, levels, 1))
    assert all(aim.proven and aim.value == aim.bound for aim in found.aims)


@settings(max_examples=25)
@given(questions(blocks=(1, 2)))
def test_no_plan_of_two_blocks_is_better(drawn: tuple[Question, LevelsOf]) -> None:
    """Also where the blocks differ, so that only together they tell how few mentor changes there can be."""
    asked, levels = drawn
    found = best_plan(asked)
    plans = [list(every_plan(asked, levels, block)) for block in (1, 2)]
    tops = [max(worth(asked, plan)[:2] for plan in those) for those in plans]
    best = [[plan for plan in those if worth(asked, plan)[:2] == top] for those, top in zip(plans, tops, strict=True)]
    assert worth(asked, found.added) == max(worth(asked, (*one, *two)) for one, two in product(*best))
    for aim in found.aims:
        assert not aim.proven or aim.value == aim.bound


@settings(max_examples=150)
@given(questions(blocks=(1, 2)))
def test_every_bound_holds_and_no_rule_is_broken(drawn: tuple[Question, LevelsOf]) -> None:
    """A bound is never passed; the naive check finds nothing in what is found."""
    asked, levels = drawn
    found = best_plan(asked)
    assert list(breaches(asked.floor, found.added, lambda *key: levels[key])) == []
    for aim in found.aims:
        assert aim.value <= aim.bound if aim.name in MORE_IS_BETTER else aim.value >= aim.bound
    values = measured(asked, found.added)
    assert {aim.name: aim.value for aim in found.aims} == values
