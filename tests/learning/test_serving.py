"""What an attempt serves: drawn by the seed, no item twice, the other version next time."""

from __future__ import annotations

from collections import Counter

from hypothesis import given
from hypothesis import strategies as st

from mentor_training.learning.rules.serving import choice_order, draw, option_order, step_order
from mentor_training.program.quiz_values import Quiz
from tests.learning.quizzes import ALL, ORDER, UNFOLD, quiz

SCENARIO = (
    "- {{slug: {0}, kind: choose_one, {1}text: T., options: [{{text: A, class: best}}, {{text: B, class: wrong}}]}}\n"
)


def bank(draw_so_many: int, *versions: int) -> Quiz:
    """Make a bank with so many versions of each item; a, b, c ... are the items, a1, a2 ... the versions."""
    lines = [
        SCENARIO.format(f"{letter}{number}", f"version_of: {letter}, ")
        for letter, often in zip("abcdefgh", versions, strict=False)
        for number in range(1, often + 1)
    ]
    return quiz("".join(lines), f"draw: {draw_so_many}\n")


banks = st.lists(st.integers(1, 3), min_size=1, max_size=6).flatmap(
    lambda versions: st.integers(1, len(versions)).map(lambda often: bank(often, *versions))
)
seeds = st.integers(0, 2**31 - 1)


@given(banks, seeds)
def test_no_attempt_serves_two_versions_of_one_item(quiz: Quiz, seed: int) -> None:
    """As many items as the quiz draws, each once."""
    served = draw(quiz, seed, ())
    assert len(served) == quiz.draw
    assert max(Counter(quiz.scenario(slug).item for slug in served).values()) == 1


@given(banks, seeds)
def test_the_same_seed_serves_the_same(quiz: Quiz, seed: int) -> None:
    """What is recorded is enough to show an attempt again as it was."""
    assert draw(quiz, seed, ()) == draw(quiz, seed, ())


@given(seeds, seeds)
def test_the_next_attempt_serves_the_other_version(first: int, second: int) -> None:
    """Two versions of each item: what the first attempt served, the second does not."""
    both = bank(4, 2, 2, 2, 2)
    earlier = draw(both, first, ())
    later = draw(both, second, [earlier])
    assert set(earlier).isdisjoint(later)
    assert {slug[0] for slug in earlier} == {slug[0] for slug in later}


@given(seeds, seeds)
def test_an_item_with_one_version_is_served_again(first: int, second: int) -> None:
    """There is nothing else to serve."""
    single = bank(2, 1, 1)
    assert set(draw(single, second, [draw(single, first, ())])) == {"a1", "b1"}


@given(seeds)
def test_of_three_versions_the_one_served_longest_ago_comes_round_again(seed: int) -> None:
    """After the third attempt all were seen; the first one's version is the oldest."""
    assert draw(bank(1, 3), seed, [["a2"], ["a1"], ["a3"]]) == ("a2",)


def test_different_seeds_draw_different_items_and_every_item_is_drawn() -> None:
    """One thousand attempts at 3 of 6: each item about 500 times; 400 to 600 is more than six standard errors wide."""
    six = bank(3, 1, 1, 1, 1, 1, 1)
    times = Counter(slug for seed in range(1000) for slug in draw(six, seed, ()))
    assert len(times) == 6
    assert all(400 < often < 600 for often in times.values())


@given(seeds)
def test_shuffling_shows_everything_once(seed: int) -> None:
    """Options, steps and the choices of each scene are all there, in the order of the seed."""
    assert sorted(option_order(ALL, seed)) == [0, 1, 2, 3]
    assert sorted(step_order(ORDER, seed)) == [0, 1, 2, 3]
    assert sorted(choice_order(UNFOLD, UNFOLD.scenes[0], seed)) == [0, 1, 2]
    assert option_order(ALL, seed) == option_order(ALL, seed)


def test_the_right_option_stands_in_every_place() -> None:
    """Over many attempts no place gives the answer away: each of four places a quarter of the time, give or take."""
    places = Counter(option_order(ALL, seed).index(0) for seed in range(1000))
    assert sorted(places) == [0, 1, 2, 3]
    assert all(180 < often < 320 for often in places.values())
