"""When a skill is ready, as tables: a history in one line for each observation."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.observing.rules.readiness import Seen, readiness
from mentor_training.observing.rules.results import MET, NOT_COUNTABLE, NOT_YET
from mentor_training.program.catalog import SIGN_OFF_DEFAULTS, SignOffRule
from tests.observing import naive

TODAY = date(2026, 10, 16)
HIGH = SIGN_OFF_DEFAULTS["high"]
ELEVATED = SIGN_OFF_DEFAULTS["elevated"]
ORDINARY = SIGN_OFF_DEFAULTS["ordinary"]


def history(text: str) -> list[Seen]:
    """Read a history: days before today, observer, result, and `stop`, `sim`, `struck` or a participant's code."""
    seen = []
    for number, line in enumerate((line for line in text.splitlines() if line.strip()), 1):
        ago, observer, result, *more = line.split()
        participant = next((word for word in more if word.startswith("p-")), "")
        day = TODAY - timedelta(days=int(ago))
        stopped, live, struck = "stop" in more, "sim" not in more, "struck" in more
        seen.append(Seen(number, day, observer, result, stopped, participant, live, struck))
    return seen


FOUR_GOOD = """
20 o-01 met p-01
18 o-01 met p-02
9  o-02 met p-01
2  o-01 met p-01
"""


def test_four_met_on_three_days_by_two_observers_make_a_high_risk_skill_ready() -> None:
    """The defaults by risk are rules of this program: high 4 observations, 3 days, 2 observers, the last 2 in a row."""
    found = readiness(HIGH, history(FOUR_GOOD), TODAY)
    assert found.is_ready
    assert found.rests_on == (1, 2, 3, 4)
    assert found.missing == ()


@pytest.mark.parametrize(
    ("rule", "text", "missing"),
    [
        (ORDINARY, "", ("2 more met observations (0 of 2 so far)", "2 more different days (0 of 2 so far)",
                        "1 more different observer (0 of 1 so far)")),
        (ORDINARY, "3 o-01 met\n3 o-01 met", ("1 more different day (1 of 2 so far)",)),
        (ELEVATED, "4 o-01 met\n3 o-01 met\n2 o-01 met", ("1 more different observer (1 of 2 so far)",)),
        (HIGH, "9 o-01 met\n8 o-02 met\n7 o-01 met\n7 o-01 met\n1 o-01 not-yet",
         ("2 more met observations in a row at the end (0 of 2 so far)",)),
        (HIGH, "9 o-01 met\n8 o-02 met\n7 o-01 met\n2 o-01 not-yet\n1 o-01 met",
         ("1 more met observation in a row at the end (1 of 2 so far)",)),
        (SignOffRule(2, 1, 1, participants=2), "2 o-01 met p-01\n1 o-01 met p-01",
         ("1 more different participant (1 of 2 so far)",)),
        (SignOffRule(2, 1, 1, participants=2), "2 o-01 met p-01\n1 o-01 met",
         ("1 more different participant (1 of 2 so far)",)),
        (SignOffRule(2, 1, 1, live_at_least=2), "2 o-01 met sim\n1 o-01 met",
         ("1 more observation live and not simulated (1 of 2 so far)",)),
    ],
)  # fmt: skip
def test_each_thing_that_is_missing_is_said_in_words_and_numbers(
    rule: SignOffRule, text: str, missing: tuple[str, ...]
) -> None:
    """Every reason, not only the first; nothing else."""
    found = readiness(rule, history(text), TODAY)
    assert not found.is_ready
    assert found.missing == missing


def test_a_stop_sets_the_count_back_to_zero() -> None:
    """What was met before it, or entered later for an earlier day, no longer counts; what comes after does."""
    text = "9 o-01 met\n8 o-02 met\n5 o-01 not-yet stop\n6 o-02 met\n3 o-01 met"
    found = readiness(ELEVATED, history(text), TODAY)
    assert found.rests_on == (5,)
    assert found.began_again == TODAY - timedelta(days=5)
    assert found.disagreeing == (3,)


def test_a_stop_in_an_observation_that_cannot_count_sets_back_too() -> None:
    """Whoever stops something rarely sees the rest; the safe reading of a stop is that it stands."""
    found = readiness(ORDINARY, history("9 o-01 met\n8 o-01 met\n1 o-02 not-countable stop"), TODAY)
    assert not found.is_ready
    assert found.rests_on == ()


def test_a_stop_that_was_struck_sets_nothing_back_and_disagrees_with_nothing() -> None:
    """A slip of the thumb, taken back by the coordinator: the count is what it was without it."""
    found = readiness(ORDINARY, history("9 o-01 met\n8 o-01 met\n1 o-02 not-yet stop struck"), TODAY)
    assert found.is_ready
    assert (found.rests_on, found.disagreeing, found.began_again) == ((1, 2), (), None)


@pytest.mark.parametrize(("ago", "counts"), [(120, True), (121, False)])
def test_an_observation_counts_for_so_many_days(ago: int, counts: bool) -> None:
    """Common practice, no source: at most 120 days old at the sign-off."""
    found = readiness(SignOffRule(1, 1, 1), history(f"{ago} o-01 met"), TODAY)
    assert found.is_ready is counts


def test_what_cannot_be_counted_or_was_struck_counts_for_nothing() -> None:
    """Kept and shown, never counted; and neither breaks a row of met ones."""
    rule = SignOffRule(2, 2, 1, met_in_a_row=2)
    text = "9 o-01 met\n5 o-02 not-countable\n4 o-01 met struck\n3 o-01 met"
    found = readiness(rule, history(text), TODAY)
    assert found.rests_on == (1, 4)
    assert found.is_ready
    assert found.disagreeing == ()


def test_an_observation_of_a_later_day_is_not_yet_there() -> None:
    """Readiness is asked for a day."""
    assert not readiness(HIGH, history(FOUR_GOOD), TODAY - timedelta(days=3)).is_ready


def test_the_gap_is_the_fewest_observations_that_could_still_do() -> None:
    """It orders who is nearly ready before who has hardly begun."""
    assert readiness(HIGH, [], TODAY).gap == 4
    assert readiness(ELEVATED, history("4 o-01 met\n3 o-01 met\n2 o-01 met"), TODAY).gap == 1
    assert readiness(HIGH, history(FOUR_GOOD), TODAY).gap == 0


SEEN = st.builds(
    Seen,
    number=st.integers(1, 50),
    day=st.dates(TODAY - timedelta(days=140), TODAY),
    observer=st.sampled_from(["o-01", "o-02", "o-03"]),
    result=st.sampled_from([MET, MET, MET, NOT_YET, NOT_COUNTABLE]),
    stopped=st.just(False),
    participant=st.sampled_from(["", "p-01", "p-02"]),
    live=st.booleans(),
)
# What can come of one look: a stop is never met, and whatever it was can be struck later.
ANYTHING_SEEN = st.builds(
    lambda one, stopped, struck: replace(
        one, stopped=stopped, struck=struck, result=NOT_YET if stopped and one.result == MET else one.result
    ),
    SEEN,
    st.sampled_from([False] * 5 + [True]),
    st.sampled_from([False] * 4 + [True]),
)
HISTORIES = st.lists(SEEN, max_size=12, unique_by=lambda one: one.number)
RULES = st.builds(
    SignOffRule,
    observations=st.integers(1, 4),
    days=st.integers(1, 3),
    observers=st.integers(1, 2),
    participants=st.integers(0, 2),
    live_at_least=st.integers(0, 2),
    met_in_a_row=st.integers(0, 3),
    fresh_days=st.sampled_from([30, 90, 120]),
)


@given(RULES, HISTORIES, SEEN)
def test_adding_a_not_yet_never_makes_a_skill_ready(rule: SignOffRule, seen: list[Seen], one: Seen) -> None:
    """At whatever place in the order it comes."""
    more = replace(one, result=NOT_YET, number=99)
    assert readiness(rule, seen, TODAY).is_ready or not readiness(rule, [*seen, more], TODAY).is_ready


@given(RULES, HISTORIES, SEEN)
def test_a_met_observation_on_the_last_day_never_takes_readiness_away(
    rule: SignOffRule, seen: list[Seen], one: Seen
) -> None:
    """Being seen again and meeting it cannot harm."""
    more = replace(one, result=MET, day=TODAY, number=99)
    assert not readiness(rule, seen, TODAY).is_ready or readiness(rule, [*seen, more], TODAY).is_ready


@given(RULES, HISTORIES, st.sampled_from([MET, NOT_YET, NOT_COUNTABLE]))
def test_a_stop_always_sets_back(rule: SignOffRule, seen: list[Seen], result: str) -> None:
    """After a stop nothing counts, whatever was there before."""
    stop = Seen(99, TODAY, "o-01", result, stopped=True)
    found = readiness(rule, [*seen, stop], TODAY)
    assert found.rests_on == ()
    assert not found.is_ready
    assert 99 in found.disagreeing


@given(st.lists(ANYTHING_SEEN, max_size=40, unique_by=lambda one: one.number), st.integers(0, 60))
def test_one_observer_alone_never_makes_a_high_risk_skill_ready(seen: list[Seen], later: int) -> None:
    """However often, on whatever day it is asked, with stops and struck ones among them."""
    alone = [replace(one, observer="o-01") for one in seen]
    assert not readiness(HIGH, alone, TODAY + timedelta(days=later)).is_ready


@given(st.lists(ANYTHING_SEEN, min_size=4, max_size=40, unique_by=lambda one: one.number))
def test_a_second_observer_is_what_one_alone_lacks(seen: list[Seen]) -> None:
    """Where everything is met and lies on enough days, the one thing missing is the other observer."""
    alone = [replace(one, observer="o-01", result=MET, stopped=False, struck=False) for one in seen]
    fresh = [replace(one, day=TODAY - timedelta(days=place)) for place, one in enumerate(alone)]
    assert readiness(HIGH, fresh, TODAY).missing == ("1 more different observer (1 of 2 so far)",)


@given(RULES, st.lists(ANYTHING_SEEN, max_size=14, unique_by=lambda one: one.number), st.integers(-20, 130))
def test_readiness_is_what_a_naive_model_works_out_day_by_day(rule: SignOffRule, seen: list[Seen], later: int) -> None:
    """Over random histories: stops, struck ones, uncountable ones, several participants, simulated ones, any day."""
    on = TODAY + timedelta(days=later)
    found = readiness(rule, seen, on)
    assert found.is_ready == naive.is_ready(rule, seen, on)
    fresh = [one for one in naive.on_the_sheet(seen, on) if (on - one.day).days <= rule.fresh_days]
    assert found.rests_on == tuple(one.number for one in fresh if one.result == MET)


@given(RULES, HISTORIES)
def test_the_order_in_which_a_history_is_handed_over_does_not_matter(rule: SignOffRule, seen: list[Seen]) -> None:
    """Day and order of entry decide, not the order of the rows."""
    assert readiness(rule, seen, TODAY) == readiness(rule, seen[::-1], TODAY)


@given(RULES, HISTORIES)
def test_ready_means_that_nothing_is_missing_and_the_other_way_round(rule: SignOffRule, seen: list[Seen]) -> None:
    """A no always carries its reasons."""
    found = readiness(rule, seen, TODAY)
    assert found.is_ready == (not found.missing) == (found.gap == 0)
