"""What was chosen in an item, how often, and what is looked at for it."""

from __future__ import annotations

from fractions import Fraction

import pytest

from mentor_training.learning.rules.answers import Answer, Measured, Ordered, Picked, Walked
from mentor_training.learning.rules.items import Chosen, LookAt, Share, can_be_unsafe, choices, look_at, whole
from tests.learning.quizzes import ALL, MEASURE, ONE, ORDER, UNFOLD, scenario


def times(found: tuple[Chosen, ...]) -> list[tuple[str, str, int]]:
    return [(one.text, one.standing, one.times) for one in found]


def test_of_options_each_pick_is_counted() -> None:
    """Of several picks in one answer every one."""
    assert times(choices(ONE, {Picked((0,)): 2, Picked((1,)): 5})) == [
        ("Give water.", "unsafe", 2),
        ("Call.", "best", 5),
        ("Ask a relative.", "wrong", 0),
    ]
    picked: dict[Answer, int] = {Picked((0, 1)): 3, Picked((1, 3)): 1}
    assert [one.times for one in choices(ALL, picked)] == [3, 4, 0, 1]


def test_of_an_order_the_broken_pairs_are_counted() -> None:
    """And how often none was; a broken `must` pair is unsafe."""
    kept, broken = Ordered(("ask", "touch", "thank", "note")), Ordered(("touch", "ask", "thank", "note"))
    assert times(choices(ORDER, {kept: 4, broken: 2})) == [
        ("Every pair in order", "best", 4),
        ("“Touch” before “Ask”", "unsafe", 2),
        ("“Thank” before “Touch”", "wrong", 0),
        ("“Note” before “Ask”", "wrong", 0),
        ("“Note” before “Thank”", "wrong", 0),
    ]


def test_of_a_reading_right_another_number_and_another_unit_are_counted() -> None:
    """The unit goes first: 10.5 cm is not another number."""
    given: dict[Answer, int] = {Measured("10.5", "in"): 3, Measured("10.6", "in"): 1, Measured("11", "in"): 2}
    given[Measured("10.5", "cm")] = 4
    assert times(choices(MEASURE, given)) == [
        ("10.5 in, or near enough", "best", 4),
        ("Another number", "wrong", 2),
        ("Another unit", "wrong", 4),
    ]


def test_of_a_branching_scenario_each_choice_is_counted_in_its_scene() -> None:
    """One who did not come to a scene chose nothing there; one who stopped on the way gave no whole answer."""
    walked: dict[Answer, int] = {Walked((0, 0)): 3, Walked((2, 1)): 1, Walked((1,)): 2, Walked((0,)): 1}
    found = choices(UNFOLD, walked)
    assert [one.times for one in found] == [4, 2, 1, 3, 1]
    assert {one.scene for one in found} == {"He looks at the door.", "He takes the job."}
    assert whole(UNFOLD, walked) == 6


def test_something_unsafe_can_be_chosen_where_an_option_a_choice_or_a_pair_says_so() -> None:
    """In a reading nothing can."""
    assert [can_be_unsafe(one) for one in (ONE, ALL, ORDER, UNFOLD, MEASURE)] == [True, True, True, True, False]
    harmless = scenario("""
        - slug: harmless
          kind: choose_one
          text: Which?
          options:
            - {text: This., class: best}
            - {text: That., class: wrong}
        """)
    assert not can_be_unsafe(harmless)


@pytest.mark.parametrize(
    ("hits", "people", "best", "found"),
    [
        (1, 20, "0.90", (LookAt.MODULE,)),  # 5% is enough
        (1, 21, "0.90", ()),
        (0, 20, "0.39", (LookAt.ITEM,)),
        (0, 20, "0.40", ()),  # 40% is enough
        (9, 20, "0.10", (LookAt.MODULE, LookAt.ITEM)),
        (0, 0, None, ()),
    ],
)
def test_what_is_looked_at(hits: int, people: int, best: str | None, found: tuple[LookAt, ...]) -> None:
    """Common practice, no source: the module from 5% unsafe on, the item below 40% best; never the student."""
    assert look_at(Share(hits, people), Fraction(best) if best else None) == found


def test_where_nothing_unsafe_is_known_only_the_item_is_looked_at() -> None:
    """As in a plain table of right and wrong."""
    assert look_at(None, Fraction(1, 10)) == (LookAt.ITEM,)


def test_a_share_has_its_interval_and_none_of_nobody() -> None:
    """Wilson's; see the outside checks for its values."""
    assert Share(1, 4).exact == Fraction(1, 4)
    low, high = Share(1, 4).interval or (0.0, 0.0)
    assert low < 0.25 < high
    assert (Share(0, 0).exact, Share(0, 0).interval) == (None, None)
