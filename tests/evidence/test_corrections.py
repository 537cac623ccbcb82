"""What corrections of corrections come to, against a model that asks from the top, and however many there are."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.evidence.corrections import effects
from mentor_training.evidence.facts import Fact
from tests.builders import FRIDAY, NOON

ABOUT = st.lists(st.tuples(st.sampled_from(("voided", "withdrawn")), st.integers(0, 9)), max_size=9)


def correction(code: str, kind: str, about: str, day: date = FRIDAY) -> Fact:
    return Fact(code, "v-001", kind, "", day, None, NOON, "c-01", about)


def stands(code: str, facts: list[Fact]) -> bool:
    """Say, as one would by hand, whether nothing that stands itself takes a record back.

    A void does, and so does a withdrawal about a correction, for here all of them are of one day.
    """
    corrects = code != "0"
    about = [one for one in facts if one.refers_to == code and (one.kind == "voided" or corrects)]
    return not any(stands(one.code, facts) for one in about)


@given(ABOUT, st.permutations(range(10)))
def test_a_record_is_void_where_a_void_about_it_stands(about: list[tuple[str, int]], order: list[int]) -> None:
    """In whatever order the records are read; each corrects one with a lower number, or the first."""
    facts = [Fact("0", "v-001", "on-file", "paper/cpr", FRIDAY, None, NOON)]
    facts += [correction(str(n), kind, str(min(of, n - 1))) for n, (kind, of) in enumerate(about, 1)]
    effect = effects(facts[place] for place in order if place < len(facts))
    assert effect.voided == {fact.code for fact in facts if not stands(fact.code, facts)}
    live = [fact for fact in facts if fact.kind == "withdrawn" and stands(fact.code, facts)]
    assert set(effect.cut) == {fact.refers_to for fact in live}


@pytest.mark.parametrize(("depth", "is_void"), [(1, True), (2, False), (4999, True), (5000, False)])
def test_there_may_be_any_number_of_corrections_on_top_of_one_another(depth: int, is_void: bool) -> None:
    """Nothing stored can be taken back, so no number of records may keep the rest from being answered."""
    facts = [correction(str(number), "voided", str(number - 1)) for number in range(1, depth + 1)]
    assert ("0" in effects(facts).voided) is is_void


def test_of_several_withdrawals_the_earliest_that_stands_ends_the_record() -> None:
    """The earlier one was voided, so the later counts: the last day is the day before."""
    first, second = correction("1", "withdrawn", "0", FRIDAY - timedelta(days=7)), correction("2", "withdrawn", "0")
    assert effects([first, second, correction("3", "voided", "1")]).cut == {"0": FRIDAY - timedelta(days=1)}


STAND_DOWN = Fact("0", "v-001", "stood-down", "", FRIDAY, None, NOON)
WEEK = timedelta(days=7)


def test_a_lifting_withdrawn_before_it_did_anything_lifts_nothing() -> None:
    """The stand-down goes on as if nobody had lifted it."""
    lifting = correction("1", "lifted", "0", FRIDAY + WEEK)
    for day in (FRIDAY, FRIDAY + WEEK):
        effect = effects([STAND_DOWN, lifting, correction("2", "withdrawn", "1", day)])
        assert (effect.cut.get("0"), effect.lifted) == (None, {})


def test_a_lifting_withdrawn_later_lifts_until_then() -> None:
    """From the day of the withdrawal the stand-down holds again; another lifting ends it for good."""
    lifting = correction("1", "lifted", "0", FRIDAY + WEEK)
    facts = [STAND_DOWN, lifting, correction("2", "withdrawn", "1", FRIDAY + 2 * WEEK)]
    effect = effects(facts)
    assert effect.cut.get("0") is None
    assert effect.lifted == {"0": [(FRIDAY + WEEK, FRIDAY + 2 * WEEK - timedelta(days=1))]}
    again = effects([*facts, correction("3", "lifted", "0", FRIDAY + 3 * WEEK)])
    assert again.cut["0"] == FRIDAY + 3 * WEEK - timedelta(days=1)


def test_a_withdrawal_withdrawn_from_its_own_day_withdraws_nothing() -> None:
    """A mistake taken back the same day leaves the paper on file."""
    paper = Fact("0", "v-001", "on-file", "paper/cpr", FRIDAY, None, NOON)
    effect = effects([paper, correction("1", "withdrawn", "0"), correction("2", "withdrawn", "1")])
    assert "0" not in effect.cut
