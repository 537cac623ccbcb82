"""What answers are worth: each kind of scenario as a table, and what holds for every answer."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations, permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.learning.rules.answers import (
    Answer,
    Measured,
    Ordered,
    Picked,
    Walked,
    as_json,
    faults,
    from_json,
    parse_number,
)
from mentor_training.learning.rules.scores import outcome, result
from mentor_training.program.quiz_values import Option, Pair, Scenario, Step
from tests.learning.quizzes import ALL, MEASURE, ONE, ORDER, UNFOLD

F = Fraction


@pytest.mark.parametrize(
    ("scenario", "answer", "score", "unsafe"),
    [
        (ONE, Picked((1,)), F(1), False),
        (ONE, Picked((2,)), F(0), False),
        (ONE, Picked((0,)), F(0), True),
        (ONE, None, F(0), False),
        (ALL, Picked((0, 1)), F(1), False),
        (ALL, Picked((0,)), F(1, 2), False),
        (ALL, Picked((0, 2)), F(0), False),
        (ALL, Picked((0, 1, 2)), F(1, 2), False),
        (ALL, Picked((2,)), F(0), False),
        (ALL, Picked((0, 1, 3)), F(1, 2), True),
        (ALL, Picked((0, 1, 2, 3)), F(0), True),
        (ORDER, Ordered(("ask", "touch", "thank", "note")), F(1), False),
        (ORDER, Ordered(("ask", "thank", "touch", "note")), F(3, 4), False),
        (ORDER, Ordered(("touch", "ask", "thank", "note")), F(3, 4), True),
        (ORDER, Ordered(("note", "thank", "touch", "ask")), F(0), True),
        (MEASURE, Measured("10.5", "in"), F(1), False),
        (MEASURE, Measured("10.6", "in"), F(1), False),
        (MEASURE, Measured("10.4", "in"), F(1), False),
        (MEASURE, Measured("10.601", "in"), F(0), False),
        (MEASURE, Measured("10.5", "cm"), F(0), False),
        (UNFOLD, Walked((0, 0)), F(1), False),
        (UNFOLD, Walked((2, 0)), F(1, 2), False),
        (UNFOLD, Walked((2, 1)), F(0), False),
        (UNFOLD, Walked((1,)), F(0), True),
        (UNFOLD, Walked((0,)), F(0), False),
    ],
)
def test_each_kind_is_worth_what_its_rule_says(
    scenario: Scenario, answer: Answer | None, score: Fraction, unsafe: bool
) -> None:
    """Right minus wrong over right; kept pairs over all; within the tolerance and in the unit; good over made.

    Rules of this program.
    """
    found = outcome(scenario, answer)
    assert (found.score, found.unsafe) == (score, unsafe)


def test_a_reading_on_the_edge_of_its_tolerance_is_inside_where_binary_arithmetic_says_it_is_not() -> None:
    """1.0 is within 0.1 of 1.1, though the machine's own 1.1 - 1.0 is more than its 0.1."""
    lift = Scenario("lift", "read_measure", "How high?", value=1.1, tolerance=0.1, unit="in", units=("in",))
    assert lift.value - 1.0 > lift.tolerance
    assert outcome(lift, Measured("1.0", "in")).score == 1


def test_an_unsafe_choice_fails_the_attempt_whatever_the_score() -> None:
    """Nine right answers do not buy one unsafe choice back."""
    scenarios = [ONE, ALL, ORDER, MEASURE, UNFOLD]
    answers: dict[str, Answer] = {
        "one": Picked((1,)),
        "all": Picked((0, 1)),
        "order": Ordered(("touch", "ask", "thank", "note")),
        "measure": Measured("10.5", "in"),
        "unfold": Walked((0, 0)),
    }
    found = result(scenarios, answers, 0.8)
    assert found.score == F(19, 20)
    assert found.unsafe == ("order",)
    assert not found.passed


@pytest.mark.parametrize(("right", "passed"), [(5, True), (4, True), (3, False)])
def test_exactly_the_pass_mark_passes(right: int, passed: bool) -> None:
    """Four of five is 0.8, and 0.8 is reached; a mean in binary fractions could fall just short of it."""
    scenarios = [copy_of(ONE, f"one-{number}") for number in range(5)]
    answers: dict[str, Answer] = {f"one-{number}": Picked((1 if number < right else 2,)) for number in range(5)}
    assert result(scenarios, answers, 0.8).passed is passed


def test_three_thirds_of_tenths_reach_a_pass_mark_of_seven_tenths() -> None:
    """The mean is exact: 0.1 + 0.2 + ... summed as binary numbers would not be."""
    pairs = tuple(Pair("a", f"s{number}") for number in range(10))
    steps = (Step("a", "A"), *(Step(f"s{number}", "S") for number in range(10)))
    tenth = Scenario("tenth", "put_in_order", "Order.", steps=steps, pairs=pairs)
    order = [f"s{number}" for number in range(10)]
    for kept in range(11):
        order_kept = Ordered((*order[: 10 - kept], "a", *order[10 - kept :]))
        assert outcome(tenth, order_kept).score == F(kept, 10)
        assert result([tenth], {"tenth": order_kept}, 0.7).passed is (kept >= 7)


def test_an_attempt_with_no_scenario_is_an_error() -> None:
    """There is no mean of nothing."""
    with pytest.raises(ValueError, match="at least one"):
        result([], {}, 0.8)


def test_versions_of_one_item_count_as_one_item_when_they_are_unsafe() -> None:
    """What is named unsafe is the item, so that another version of it counts as the same choice."""
    version = copy_of(ONE, "one-again", version_of="one")
    assert result([version], {"one-again": Picked((0,))}, 0.8).unsafe == ("one",)


@given(st.data())
def test_right_picks_never_lower_and_wrong_picks_never_raise_the_score_of_choose_all(data: st.DataObject) -> None:
    """The score lies from 0 to 1, is 1 for exactly the right options, and moves the right way with each pick."""
    standings = ["best", *data.draw(st.lists(st.sampled_from(["best", "wrong", "unsafe"]), min_size=1, max_size=7))]
    scenario = Scenario(
        "all", "choose_all", "?", options=tuple(Option(str(at), one) for at, one in enumerate(standings))
    )
    right = tuple(at for at, one in enumerate(standings) if one == "best")
    assert outcome(scenario, Picked(right)).score == 1
    picks = data.draw(st.sets(st.sampled_from(range(len(standings))), max_size=len(standings) - 1))
    more = data.draw(st.sampled_from([at for at in range(len(standings)) if at not in picks]))
    before = outcome(scenario, Picked(tuple(picks))).score
    after = outcome(scenario, Picked((*picks, more))).score
    assert 0 <= before <= 1
    assert after >= before if standings[more] == "best" else after <= before


@given(st.integers(2, 6), st.data())
def test_the_score_of_a_full_order_counts_its_inversions(size: int, data: st.DataObject) -> None:
    """With every pair a constraint, the score is 1 - inversions / (n choose 2), which is (tau + 1) / 2 of Kendall's
    rank correlation (M. G. Kendall, "A new measure of rank correlation", Biometrika 30, 1938; from memory).
    """
    slugs = [f"s{number}" for number in range(size)]
    pairs = tuple(Pair(first, then) for first, then in combinations(slugs, 2))
    scenario = Scenario("order", "put_in_order", "?", steps=tuple(Step(slug, slug) for slug in slugs), pairs=pairs)
    order = data.draw(st.permutations(slugs))
    concordant = sum(order.index(a) < order.index(b) for a, b in combinations(slugs, 2))
    tau = F(2 * concordant - len(pairs), len(pairs))
    assert outcome(scenario, Ordered(tuple(order))).score == (tau + 1) / 2


def test_only_orders_that_break_a_must_pair_are_unsafe() -> None:
    """All 24 orders of four steps: unsafe are exactly those that touch before they ask."""
    for order in permutations(("ask", "touch", "thank", "note")):
        assert outcome(ORDER, Ordered(order)).unsafe == (order.index("touch") < order.index("ask"))


@given(st.sampled_from([ONE, ALL, ORDER, MEASURE, UNFOLD]), st.data())
def test_every_score_lies_between_nothing_and_one(scenario: Scenario, data: st.DataObject) -> None:
    """Whatever can be answered; and what is kept comes back from storage as it was."""
    answer = data.draw(answers_to(scenario))
    assert faults(scenario, answer) == ()
    assert 0 <= outcome(scenario, answer).score <= 1
    assert from_json(as_json(answer)) == answer


def answers_to(scenario: Scenario) -> st.SearchStrategy[Answer]:
    """Give any answer that can be given to a scenario."""
    if scenario.kind == "choose_one":
        return st.integers(0, 2).map(lambda pick: Picked((pick,)))
    if scenario.kind == "choose_all":
        return st.sets(st.integers(0, 3), min_size=1).map(lambda picks: Picked(tuple(picks)))
    if scenario.kind == "put_in_order":
        return st.permutations([step.slug for step in scenario.steps]).map(lambda order: Ordered(tuple(order)))
    if scenario.kind == "read_measure":
        return st.builds(Measured, st.decimals(0, 100, places=2).map(str), st.sampled_from(scenario.units))
    return st.sampled_from([Walked(walk) for walk in ((0,), (1,), (2,), (0, 0), (0, 1), (2, 0), (2, 1))])


@pytest.mark.parametrize(
    ("scenario", "answer", "reason"),
    [
        (ONE, Picked((0, 1)), "one option only"),
        (ONE, Picked((7,)), "options that stand there"),
        (ONE, Picked(()), "at least one"),
        (ALL, Picked((1, 1)), "none of them twice"),
        (ORDER, Ordered(("ask", "ask", "thank", "note")), "one place"),
        (ORDER, Ordered(("ask", "touch")), "one place"),
        (MEASURE, Measured("ten", "in"), "in digits"),
        (MEASURE, Measured("10.5", "m"), "the unit"),
        (UNFOLD, Walked((5,)), "what can be done"),
        (UNFOLD, Walked((1, 0)), "what can be done"),
        (UNFOLD, Walked(()), "what can be done"),
        (ONE, Walked((0,)), "no answer to the scenario one"),
    ],
)
def test_what_is_no_answer_is_refused_in_words(scenario: Scenario, answer: Answer, reason: str) -> None:
    """Each says what would be right."""
    assert reason in " ".join(faults(scenario, answer))


@pytest.mark.parametrize(
    ("text", "number"),
    [("10.5", F(21, 2)), (" 7 ", F(7)), (".5", F(1, 2)), ("5.", F(5)), ("-3", F(-3)), ("−3", F(-3)), ("0.1", F(1, 10)),
     ("", None), ("ten", None), ("1,000", None), ("1/2", None), ("1e3", None), ("inf", None), (".", None),
     ("1" * 50, None)],
)  # fmt: skip
def test_a_number_is_read_as_it_is_written_in_decimals(text: str, number: Fraction | None) -> None:
    """Exactly, or not at all."""
    assert parse_number(text) == number


def copy_of(scenario: Scenario, slug: str, version_of: str = "") -> Scenario:
    """Return the same scenario under another slug."""
    return Scenario(slug, scenario.kind, scenario.text, options=scenario.options, version_of=version_of)
