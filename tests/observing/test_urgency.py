"""Which skill is to be seen first: a total order, most urgent first, that equals do not disturb."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from mentor_training.observing.rules.urgency import Stake, Turn, Urgency, urgency
from mentor_training.program.catalog import Level

DAY = date(2026, 10, 16)
TURNS = tuple(Turn(f"station-{number}", Level.NOT_YET, Level.SUPERVISED) for number in range(4))

last_days = st.none() | st.integers(0, 30).map(lambda days: DAY + timedelta(days=days))
stakes = st.builds(Stake, st.integers(0, 4).map(lambda many: TURNS[:many]), st.integers(0, 9), last_days)
asked = st.tuples(st.none() | stakes, st.booleans(), st.integers(0, 3), st.integers(0, 5))


@given(asked, asked, asked)
def test_any_two_can_be_put_in_order_and_no_order_goes_round_in_a_circle(
    one: tuple[Stake | None, bool, int, int],
    other: tuple[Stake | None, bool, int, int],
    third: tuple[Stake | None, bool, int, int],
) -> None:
    """A total order: of two one is first or they are equal; first before second before third is first before third."""
    first, second, last = urgency(*one), urgency(*other), urgency(*third)
    assert (first < second) + (second < first) + (first == second) == 1
    assert first <= last or not (first <= second <= last)


@given(st.lists(asked, max_size=12))
def test_equals_stay_in_the_order_in_which_they_come_and_sorting_again_changes_nothing(
    rows: Sequence[tuple[Stake | None, bool, int, int]],
) -> None:
    """Skills come in the order of the program's files."""

    def of(place: int) -> Urgency:
        return urgency(*rows[place])

    once = sorted(range(len(rows)), key=of)
    assert sorted(once, key=of) == once
    assert all(one < other for one, other in pairwise(once) if of(one) == of(other))


@given(stakes, st.integers(0, 3), st.integers(0, 5))
def test_whatever_hangs_more_on_is_more_urgent(stake: Stake, group: int, gap: int) -> None:
    """A station more outweighs any number of participants, a participant more any day, a day sooner any nearness."""
    here = urgency(stake, False, group, gap)
    wider = replace(stake, turns=(*stake.turns, TURNS[0]), participants=0, last_day=None)
    busier = replace(stake, participants=stake.participants + 1, last_day=None)
    sooner = replace(stake, last_day=(stake.last_day or DAY + timedelta(days=31)) - timedelta(days=1))
    for more in (wider, busier, sooner):
        assert urgency(more, False, 3, 9) < here
    assert here < urgency(stake, False, group, gap + 1)
    assert here < urgency(stake, False, group + 1, 0)


@given(asked, asked)
def test_what_is_settled_stands_after_whatever_is_not(
    one: tuple[Stake | None, bool, int, int], other: tuple[Stake | None, bool, int, int]
) -> None:
    """Signed off and not about to end: nothing is to be seen of it."""
    assert urgency(one[0], False, *one[2:]) < urgency(other[0], True, *other[2:])
