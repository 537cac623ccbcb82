"""What an observer comes to against an agreed key: held to a naive count, and to the agreement of two raters."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from mentor_training.observing.agreement import coefficients
from mentor_training.observing.agreement.key import against_key
from mentor_training.observing.agreement.marks import Unit, of_rows, side_by_side
from mentor_training.observing.agreement.sums import sums
from mentor_training.observing.rules.calibration import (
    CalibrationResult,
    Difference,
    KeyMark,
    Performance,
    Progress,
    Spot,
    accepted_faults,
    held_to_key,
    objections_to_agreeing,
    objections_to_calibrating,
    objections_to_closing,
    objections_to_scoring,
    objections_to_set,
    proposed_last_day,
    why_it_matters,
)
from mentor_training.observing.rules.results import AS_DONE, MARK_WORDS, Marking
from mentor_training.program.catalog import Criterion

ALL = tuple(Marking)
DAY = date(2026, 10, 16)
Table = Sequence[tuple[tuple[str, ...], bool, str]]

accepted = st.lists(st.sampled_from(ALL), min_size=1, max_size=2, unique=True).map(tuple)
tables = st.lists(st.tuples(accepted, st.booleans(), st.sampled_from(ALL)), min_size=1, max_size=24)
shares = st.sampled_from((0.0, 0.5, 0.7, 0.75, 0.8, 0.9, 1.0))


def key_of(table: Table) -> list[KeyMark]:
    return [KeyMark(Spot(1, number), marks, critical) for number, (marks, critical, _) in enumerate(table, 1)]


def held(table: Table, least: float = 0.8) -> CalibrationResult:
    """Hold the last column of a table to its first."""
    return held_to_key(key_of(table), {Spot(1, number): own for number, (*_, own) in enumerate(table, 1)}, least)


def naive_misses(table: Table) -> int:
    """Count the unsafe acts that were missed, as one would with a pencil."""
    missed = 0
    for marks, critical, own in table:
        not_done = not any(mark in ("done", "another-way", "not-seen") for mark in marks)
        stopped = all(mark == "stopped" for mark in marks)
        missed += ((critical and not_done) or stopped) and own in ("done", "another-way", "not-seen")
    return missed


@given(tables, shares)
def test_whoever_passes_marks_enough_as_the_key_says_and_misses_no_unsafe_act(table: Table, least: float) -> None:
    """Both, and nothing else; held to a count by pencil."""
    result = held(table, least)
    alike = sum(own in marks for marks, _, own in table)
    assert (result.criteria, result.alike, len(result.missed)) == (len(table), alike, naive_misses(table))
    assert result.passed == (Fraction(alike, len(table)) >= Fraction(str(least)) and naive_misses(table) == 0)


@given(tables)
def test_exact_agreement_is_the_percent_of_two_raters_of_whom_one_is_the_key(table: Table) -> None:
    """The key's rater gives the observer's mark where either of two is right, and else the first."""
    place = {mark: number for number, mark in enumerate(ALL)}
    rows = [(place[Marking(own if own in marks else marks[0])], place[Marking(own)]) for marks, _, own in table]
    found = sums(of_rows(rows, len(ALL)))
    percent = coefficients.percent(found.sampled(np.ones((1, len(rows)))))[0]
    assert float(100 * held(table).share) == pytest.approx(float(percent))


@given(st.lists(st.tuples(st.sampled_from(ALL), st.booleans(), st.sampled_from(ALL)), min_size=1, max_size=24))
def test_the_command_misses_the_same_unsafe_acts(rows: list[tuple[Marking, bool, Marking]]) -> None:
    """`agreement --key`, for which not seen is a missing mark, and a criterion is critical by its name."""
    table: Table = [((mark,), critical, own) for mark, critical, own in rows]
    marks = {
        (who, Unit("1", f"{number}")): mark
        for number, (key, _, own) in enumerate(rows, 1)
        for who, mark in (("key", key), ("o-01", own))
        if mark != Marking.NOT_SEEN
    }
    assume({who for who, _ in marks} == {"key", "o-01"})
    critical = [f"{number}" for number, (_, is_critical, _) in enumerate(rows, 1) if is_critical]
    (found,) = against_key(side_by_side(marks), "key", critical)
    result = held(table)
    assert sorted(unit.criterion for unit in found.missed) == sorted(
        f"{one.key.spot.criterion}" for one in result.missed
    )
    assert found.critical == result.acts


@given(tables)
def test_every_difference_says_why_it_matters(table: Table) -> None:
    """A missed act is said to be one, and nothing else is."""
    for one in held(table).differences:
        assert why_it_matters(one).startswith("An unsafe act") == one.is_missed_act


@pytest.mark.parametrize(
    ("key", "own", "says"),
    [
        ("done", "another-way", "Both count as done"),
        ("done", "not-done", "the mentor hears not yet"),
        ("reminded", "done", "nobody would practice it"),
        ("helped", "not-done", "how much help it took"),
        ("done", "not-seen", "It could be seen here"),
        ("not-seen", "done", "It did not come up here"),
        ("not-done", "stopped", "steps in for safety"),
    ],
)
def test_a_difference_is_explained_by_what_it_would_have_come_to(key: str, own: str, says: str) -> None:
    """On a criterion that is not critical."""
    assert says in why_it_matters(Difference(KeyMark(Spot(1, 1), (key,), critical=False), own))


def test_eighty_percent_is_exactly_eighty_percent() -> None:
    """32 of 40 pass and 31 do not; and 40 of 40 with one unsafe act missed cannot be."""
    right, wrong = (("done",), False, "done"), (("done",), False, "helped")
    assert held([right] * 32 + [wrong] * 8).passed
    assert not held([right] * 31 + [wrong] * 9).passed
    assert not held([right] * 39 + [(("not-done",), True, "done")]).passed


def test_either_of_two_that_includes_done_is_no_unsafe_act() -> None:
    """The two who agreed were not sure of it themselves; either of two that are both not done is one."""
    assert not KeyMark(Spot(1, 1), ("reminded", "done"), critical=True).is_unsafe_act
    assert KeyMark(Spot(1, 1), ("reminded", "helped"), critical=True).is_unsafe_act
    assert not KeyMark(Spot(1, 1), ("not-done",), critical=False).is_unsafe_act
    assert KeyMark(Spot(1, 1), ("stopped",), critical=False).is_unsafe_act


def test_a_missing_mark_or_an_empty_key_is_a_mistake_of_the_program() -> None:
    """A set cannot be closed with either, so nothing is guessed."""
    for key in ([], [KeyMark(Spot(1, 1), ("done",), critical=False)]):
        with pytest.raises(ValueError, match="needs a mark"):
            held_to_key(key, {}, 0.8)


CRITERIA = {"guarding": (Criterion("Looks.", critical=True),), "empty": ()}


@pytest.mark.parametrize(
    ("title", "performances", "says"),
    [
        (" ", [Performance("a", "guarding", "b", "c")], "Write what the set is called."),
        ("t" * 201, [Performance("a", "guarding", "b", "c")], "201 characters; 200 are the most"),
        ("t", [], "A set has 1 to 8 performances; this one has 0."),
        ("t", [Performance("a", "guarding", "b", "c")] * 9, "this one has 9"),
        ("t", [Performance("", "guarding", "b", "c")], "Performance 1: write what it is called."),
        ("t", [Performance("a", "guarding", "", "c")], "Performance 1: write what is played."),
        ("t", [Performance("a", "guarding", "b", " ")], "Performance 1: write where it lies or who plays it."),
        ("t", [Performance("a", "guarding", "b" * 301, "c")], "what is played has 301 characters; 300 are the most."),
        ("t", [Performance("a", "empty", "b", "c")], "there is no skill 'empty' with criteria"),
        ("t", [Performance("a", "juggling", "b", "c")], "there is no skill 'juggling' with criteria"),
    ],
)
def test_what_is_wrong_with_a_set_is_said(title: str, performances: list[Performance], says: str) -> None:
    """Each with what would be right; a set with nothing wrong has no objection."""
    assert says in "; ".join(objections_to_set(title, performances, CRITERIA))
    assert objections_to_set("t", [Performance("a", "guarding", "b", "c")], CRITERIA) == ()


def test_a_key_has_a_mark_or_either_of_two_for_each_criterion() -> None:
    """Not three, not twice the same, none unknown, none left out, none beyond."""
    given_key: dict[int, tuple[str, ...]] = {
        1: ("done",), 2: ("done", "done"), 3: ("done", "helped", "reminded"), 4: ("splendid",),
        6: ("helped", "not-done"), 8: ("done",),
    }  # fmt: skip
    faults = accepted_faults(6, given_key)
    assert sorted(faults) == [2, 3, 4, 5, 8]
    assert "is no mark" in faults[4]
    assert "Agree on a mark" in faults[5]


def test_a_key_is_agreed_by_two_who_may_and_before_anybody_scores() -> None:
    """Two different people; all reasons at once."""
    assert objections_to_agreeing(("a", "b"), {"a", "b"}, scored=False) == ()
    assert len(objections_to_agreeing(("a", "a"), {"a"}, scored=True)) == 2
    assert len(objections_to_agreeing(("a", "x"), {"a"}, scored=False)) == 1


@given(st.booleans(), st.booleans(), st.booleans(), st.booleans(), st.booleans())
def test_a_set_is_scored_by_whoever_does_not_know_its_key_once_it_is_agreed_and_due(
    knows: bool, keyed: bool, due: bool, closed: bool, all_scored: bool
) -> None:
    """And until it is closed; it is closed once everything is scored."""
    found = Progress(
        "o-01", {"o-01"} if knows else {"i-01"}, () if keyed else (1,), DAY, () if all_scored else (2,), closed
    )
    today = DAY if due else DAY - timedelta(days=1)
    may_score = not knows and keyed and due and not closed
    assert (objections_to_scoring(found, today) == ()) == may_score
    assert (objections_to_closing(found, today) == ()) == (may_score and all_scored)


@given(tables, st.booleans(), st.booleans(), st.integers(-2, 2))
def test_only_a_passed_result_calibrates_once_and_never_oneself(
    table: Table, is_oneself: bool, was_given: bool, days: int
) -> None:
    """For a span that does not end before it begins."""
    result, last = held(table), DAY + timedelta(days=days)
    reasons = objections_to_calibrating(result, "c-01", "c-01" if is_oneself else "o-01", was_given, DAY, last)
    assert (reasons == ()) == (result.passed and not is_oneself and not was_given and days >= 0)
    assert objections_to_calibrating(None, "c-01", "o-01", given=False, first_day=DAY, last_day=DAY)


def test_a_calibration_is_proposed_through_the_last_session_planned() -> None:
    """With none after today for half a year."""
    days = [DAY - timedelta(days=7), DAY + timedelta(days=60), DAY + timedelta(days=3)]
    assert proposed_last_day(DAY, days) == DAY + timedelta(days=60)
    assert proposed_last_day(DAY, [*days[:1], DAY]) == DAY + timedelta(days=182)


def test_the_two_scales_of_marks_are_one() -> None:
    """Every mark is either as done, or undone, or not seen."""
    undone = {mark for mark in MARK_WORDS if KeyMark(Spot(1, 1), (mark,), critical=True).is_unsafe_act}
    assert undone | AS_DONE | {Marking.NOT_SEEN} == set(MARK_WORDS)
