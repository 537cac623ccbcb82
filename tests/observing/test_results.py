"""What the marks of an observation come to, as tables in the marks' own words."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.observing.rules.results import (
    MET,
    NO_CRITERIA,
    NOT_COUNTABLE,
    NOT_YET,
    Circumstances,
    GivenMark,
    Marking,
    mark_faults,
    not_counted_in_words,
    objections_to_criteria,
    outcome,
    to_see_again,
)
from mentor_training.program.catalog import Criterion, Policy

GOOD = Circumstances(days_late=0, calibrated=True, entitled=True)
POLICY = Policy()


def criteria(pattern: str) -> list[Criterion]:
    """Make criteria from letters: `C` a critical one, `o` any other."""
    return [Criterion(f"criterion {number}", letter == "C") for number, letter in enumerate(pattern, 1)]


def marked(text: str) -> list[Marking]:
    """Read marks written as words."""
    return [Marking(word) for word in text.split()]


# pattern | marks | result | why not counted
TABLE = """
CCoo  | done done done done                            | met           |
CCoo  | another-way done done done                     | met           |
CCoo  | done done reminded done                        | met           |
CCoo  | done done reminded reminded                    | not-yet       |
CCoo  | reminded done done done                        | not-yet       |
CCoo  | helped done done done                          | not-yet       |
CCoo  | not-done done done done                        | not-yet       |
CCoo  | not-seen done done done                        | not-countable | critical-not-seen
CCoo  | not-seen not-done done done                    | not-countable | critical-not-seen
CCoo  | done done not-seen not-seen                    | met           |
CCoo  | done done not-seen not-done                    | not-yet       |
CCoo  | done done done stopped                         | not-yet       |
CCoo  | done stopped done done                         | not-yet       |
Cooooo | done done done done done helped               | met           |
Cooooo | done done done done reminded helped           | met           |
Cooooo | done done done done helped helped             | not-yet       |
Cooooo | done done done another-way not-seen helped    | not-yet       |
Cooooo | done done done done done not-done             | met           |
Cooooo | done done done done done stopped              | not-yet       |
oo    | reminded done                                  | met           |
oo    | done not-seen                                  | met           |
oo    | not-seen not-seen                              | not-yet       |
      |                                                | not-yet       |
CC    | done another-way                               | met           |
"""


@pytest.mark.parametrize("row", [line for line in TABLE.splitlines() if line.strip()])
def test_marks_come_to_a_result(row: str) -> None:
    """Critical ones done unprompted, at most one of the others reminded, four fifths of the others seen done."""
    pattern, marks, result, why = (cell.strip() for cell in row.split("|"))
    found = outcome(criteria(pattern), marked(marks), GOOD, POLICY)
    assert (found.result, ";".join(found.not_counted)) == (result, why)


@pytest.mark.parametrize(
    ("circumstances", "why"),
    [
        (Circumstances(7, True, True), ()),
        (Circumstances(8, True, True), ("late",)),
        (Circumstances(0, False, True), ("not-calibrated",)),
        (Circumstances(0, True, False), ("not-entitled",)),
        (Circumstances(8, False, False), ("late", "not-calibrated", "not-entitled")),
    ],
)
def test_an_observation_that_cannot_count_says_every_reason(circumstances: Circumstances, why: tuple[str, ...]) -> None:
    """Seven days late still counts, eight does not; an observer counts when calibrated and entitled on that day."""
    found = outcome(criteria("Co"), marked("done done"), circumstances, POLICY)
    assert found.not_counted == why
    assert found.result == (NOT_COUNTABLE if why else MET)
    assert all(not_counted_in_words(reason, POLICY).endswith(".") for reason in why)


def test_a_program_may_set_its_own_numbers() -> None:
    """Reminders, the share and the days come from the program's policy, and the share is exact: 7 of 10 is 0.7."""
    loose = Policy(reminders=2, done_share=0.7, late_after_days=1)
    ten = "done " * 5 + "reminded reminded " + "helped " * 3
    assert outcome(criteria("o" * 10), marked(ten), GOOD, loose).result == MET
    assert outcome(criteria("o" * 10), marked(ten), GOOD, POLICY).result == NOT_YET
    assert outcome(criteria("o"), marked("done"), Circumstances(2, True, True), loose).not_counted == ("late",)


def test_a_stop_is_said_even_where_the_observation_cannot_count() -> None:
    """Whoever stops something often does not see the rest of it; the stop must not be lost with it."""
    found = outcome(criteria("CCo"), marked("stopped not-seen not-seen"), GOOD, POLICY)
    assert (found.result, found.stopped, found.missed_critical) == (NOT_COUNTABLE, True, True)


@pytest.mark.parametrize("mark", ["reminded", "helped", "not-done", "stopped"])
def test_a_critical_criterion_is_missed_by_anything_but_done(mark: str) -> None:
    """Prompted is missed too; not seen is not: nobody knows."""
    assert outcome(criteria("Co"), marked(f"{mark} done"), GOOD, POLICY).missed_critical
    assert not outcome(criteria("Co"), marked("not-seen done"), GOOD, POLICY).missed_critical
    assert not outcome(criteria("Co"), marked(f"done {mark}"), GOOD, POLICY).missed_critical


@given(st.lists(st.tuples(st.booleans(), st.sampled_from(list(Marking))), min_size=1, max_size=8))
def test_no_score_buys_back_a_critical_criterion(pairs: list[tuple[bool, Marking]]) -> None:
    """Whatever the others are, a critical one that was not done alone keeps the observation from being met."""
    found = outcome([Criterion("c", critical) for critical, _ in pairs], [mark for _, mark in pairs], GOOD, POLICY)
    lacking = any(critical and mark not in (Marking.DONE, Marking.ANOTHER_WAY) for critical, mark in pairs)
    stopped = any(mark is Marking.STOPPED for _, mark in pairs)
    assert not (found.result == MET and (lacking or stopped))
    assert found.stopped == stopped


@given(st.lists(st.sampled_from(list(Marking)), min_size=2, max_size=8), st.data())
def test_doing_better_never_turns_met_into_not_yet(marks: list[Marking], data: st.DataObject) -> None:
    """Raising one mark of a met observation to done leaves it met."""
    pattern = criteria("C" + "o" * (len(marks) - 1))
    if outcome(pattern, marks, GOOD, POLICY).result != MET:
        marks[0] = Marking.DONE
        marks[1:] = [Marking.DONE if mark in (Marking.STOPPED, Marking.HELPED) else mark for mark in marks[1:]]
    place = data.draw(st.integers(0, len(marks) - 1))
    better = [*marks[:place], Marking.DONE, *marks[place + 1 :]]
    before, after = (outcome(pattern, them, GOOD, POLICY).result for them in (marks, better))
    assert not (before == MET and after != MET)


def test_every_mark_that_is_missing_is_named() -> None:
    """There is no default mark: each criterion without one is a fault of its own."""
    faults = mark_faults(criteria("CoC"), {2: GivenMark("done")})
    assert sorted(faults) == [1, 3]
    assert all("Mark this one too" in fault for fault in faults.values())


def test_a_mark_must_be_one_of_the_scale_and_another_way_must_be_said() -> None:
    """Unknown marks, a way left out, a way too long and a criterion that does not exist are refused."""
    given = {
        1: GivenMark("fine"),
        2: GivenMark("another-way", "  "),
        3: GivenMark("another-way", "with the left hand, as agreed"),
        4: GivenMark("another-way", "x" * 301),
        9: GivenMark("done"),
    }
    faults = mark_faults(criteria("CCoo"), given)
    assert sorted(faults) == [1, 2, 4, 9]
    assert "'fine' is no mark" in faults[1]


def test_a_skill_without_criteria_cannot_be_observed() -> None:
    """There is nothing to mark; with one there is."""
    assert objections_to_criteria([]) == (NO_CRITERIA,)
    assert objections_to_criteria(criteria("o")) == ()


def test_marks_for_other_criteria_are_a_mistake_of_the_caller() -> None:
    """A result is never made from marks that do not belong to the criteria."""
    with pytest.raises(ValueError, match="2 marks for 3 criteria"):
        outcome(criteria("CCC"), marked("done done"), GOOD, POLICY)


def test_what_is_to_be_seen_again_names_the_critical_ones_first() -> None:
    """The two things to do next are the ones that matter most."""
    again = to_see_again(criteria("oCoC"), marked("helped done reminded not-done"))
    assert [one.text for one in again] == ["criterion 4", "criterion 1", "criterion 3"]
