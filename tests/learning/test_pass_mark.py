"""What pass mark judges propose, how far they agree, what may be recorded, and how a quiz file says it."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.learning.rules.pass_mark import (
    MOST_JUDGES,
    Sheet,
    clean_name,
    faults,
    furthest_apart,
    items_of,
    lines_of_file,
    named_twice,
    proposal,
    read_percent,
    rounded,
    source,
    summary,
)
from tests.learning.quizzes import quiz
from tests.program.definitions import found, program_of
from tests.small_program import QUIZ, small_files

DAY = date(2026, 10, 3)
DANA, PARENT, LEE = Sheet("Dana", (80, 60, 100)), Sheet("A parent", (90, 60, 60)), Sheet("Lee", (100, 60, 80))
PERCENTS = st.integers(0, 100)
NO_NAME = "A judge's name is missing or cannot be kept; write 1 to 120 characters in one line."


def sheets(judges: st.SearchStrategy[int], items: st.SearchStrategy[int]) -> st.SearchStrategy[list[Sheet]]:
    """Give judges who all judged the same number of items."""
    sizes = st.tuples(judges, items)
    return sizes.flatmap(
        lambda size: st.lists(
            st.builds(Sheet, st.just("Dana"), st.tuples(*[PERCENTS] * size[1])), min_size=size[0], max_size=size[0]
        )
    )


PANELS = sheets(st.integers(1, MOST_JUDGES), st.integers(1, 12))


def test_the_pass_mark_is_the_mean_of_the_judges_means() -> None:
    """Three judges of three items, by hand: 80%, 70% and 80%."""
    whole = proposal((DANA, PARENT, LEE))
    assert whole.judges == (Fraction(8, 10), Fraction(7, 10), Fraction(8, 10))
    assert whole.whole.mean == Fraction(23, 30)
    assert whole.whole.variance == Fraction(1, 300)
    assert whole.whole.spread == sqrt(1 / 300)
    assert whole.whole.standard_error == pytest.approx(1 / 30, abs=1e-15)


def test_each_item_has_its_own_mean_and_spread() -> None:
    """And the one on which they are furthest apart is named; all of them where several are."""
    items = proposal((DANA, PARENT, LEE)).items
    assert [one.mean for one in items] == [Fraction(9, 10), Fraction(6, 10), Fraction(8, 10)]
    assert [one.spread for one in items] == [pytest.approx(0.1), 0, pytest.approx(0.2)]
    assert furthest_apart(proposal((DANA, PARENT, LEE))) == (2,)
    assert furthest_apart(proposal((Sheet("A", (0, 50, 10)), Sheet("B", (10, 50, 0))))) == (0, 2)


def test_of_one_judge_spread_and_standard_error_are_not_defined() -> None:
    """Nor is there anything to be apart on."""
    alone = proposal((DANA,))
    assert (alone.whole.mean, alone.whole.spread, alone.whole.standard_error) == (Fraction(8, 10), None, None)
    assert [one.spread for one in alone.items] == [None, None, None]
    assert furthest_apart(alone) == ()


def test_judges_who_say_the_same_are_furthest_apart_on_nothing() -> None:
    """A spread of 0 is defined."""
    same = proposal((DANA, Sheet("Lee", DANA.percents)))
    assert (same.whole.spread, same.whole.standard_error) == (0, 0)
    assert furthest_apart(same) == ()


@pytest.mark.parametrize("judged", [(), (Sheet("Dana", ()),), (DANA, Sheet("Lee", (1, 2)))])
def test_without_shares_of_the_same_items_nothing_is_proposed(judged: tuple[Sheet, ...]) -> None:
    """No judge, no item, or not the same number of them."""
    with pytest.raises(ValueError, match="there is one of each at least"):
        proposal(judged)
    with pytest.raises(ValueError, match="nobody judged"):
        summary(())


@given(PANELS)
def test_a_proposal_keeps_its_bounds(panel: list[Sheet]) -> None:
    """Between the lowest and the highest judge; the same over judges first or items first; a spread of sqrt(1/2)."""
    all_of_it = proposal(panel)
    assert min(all_of_it.judges) <= all_of_it.whole.mean <= max(all_of_it.judges)
    assert all_of_it.whole.mean == sum(one.mean for one in all_of_it.items) / len(all_of_it.items)
    for one in (all_of_it.whole, *all_of_it.items):
        assert 0 <= one.mean <= 1
        assert (one.spread is None) == (one.standard_error is None) == (len(panel) == 1)
        assert one.variance is None or 0 <= one.variance <= Fraction(1, 2)


@given(PANELS)
def test_the_order_of_the_judges_changes_nothing(panel: list[Sheet]) -> None:
    """Neither the mark nor its spread, nor those of an item."""
    turned = panel[::-1]
    assert (proposal(panel).whole, proposal(panel).items) == (proposal(turned).whole, proposal(turned).items)


@given(PANELS)
def test_a_pass_mark_is_written_to_the_nearest_hundredth(panel: list[Sheet]) -> None:
    """Half up, always with two decimals."""
    mean = proposal(panel).whole.mean
    assert abs(Fraction(rounded(mean)) - mean) <= Fraction(1, 200)
    assert len(rounded(mean)) == 4


@pytest.mark.parametrize(
    ("mean", "written"), [("0.844", "0.84"), ("0.845", "0.85"), ("1", "1.00"), ("0", "0.00"), ("0.0049", "0.00")]
)
def test_half_a_percent_is_rounded_up(mean: str, written: str) -> None:
    """Exactly, with no binary fraction on the way."""
    assert rounded(Fraction(mean)) == written


@pytest.mark.parametrize(
    ("written", "read"),
    [("0", 0), ("100", 100), (" 70 ", 70), ("70%", 70), ("70 %", 70), ("007", 7), ("", None), ("101", None),
     ("-1", None), ("0.7", None), ("70,5", None), ("7o", None), ("%", None), ("٧", None)],
)  # fmt: skip
def test_a_whole_percent_is_read_and_nothing_else(written: str, read: int | None) -> None:
    """With or without its sign; a fraction is refused, since 0.7 would mean seven in a thousand."""
    assert read_percent(written) == read


def test_versions_of_an_item_count_as_one() -> None:
    """In the order of the file, each with its versions."""
    text = "- {slug: SLUG, kind: read_measure, text: T, value: 1, unit: s, units: [s]MORE}\n"
    rows = [("one", ""), ("two", ""), ("one-b", ", version_of: one")]
    bank = quiz("".join(text.replace("SLUG", slug).replace("MORE", more) for slug, more in rows))
    assert {item: [one.slug for one in versions] for item, versions in items_of(bank.scenarios).items()} == {
        "one": ["one", "one-b"],
        "two": ["two"],
    }


# ---- what may be recorded ----


def test_estimates_that_are_whole_have_no_fault() -> None:
    """On the day itself and later."""
    assert faults((DANA, PARENT, LEE), 3, DAY, DAY) == ()


@pytest.mark.parametrize(
    ("judged", "fault"),
    [
        ((), "0 judges are entered; 1 to 8 can be."),
        (tuple(Sheet(f"J{at}", (1, 2, 3)) for at in range(9)), "9 judges are entered; 1 to 8 can be."),
        ((Sheet("", (1, 2, 3)),), NO_NAME),
        ((Sheet("A\nB", (1, 2, 3)),), NO_NAME),
        ((Sheet("A" * 121, (1, 2, 3)),), NO_NAME),
        ((DANA, DANA), "Dana stands there twice; write each judge once."),
        ((Sheet("Dana", (1, 2)),), "Dana judged 2 of 3 items; write a share for each."),
        ((Sheet("Dana", (1, 2, 101)),), "A share by Dana is outside 0 to 100; write a whole percent."),
        ((Sheet("Dana", (1, 2, -1)),), "A share by Dana is outside 0 to 100; write a whole percent."),
    ],
)  # fmt: skip
def test_what_cannot_be_recorded_is_said(judged: tuple[Sheet, ...], fault: str) -> None:
    """Each with what would be right."""
    assert faults(judged, 3, DAY, DAY) == (fault,)


def test_nobody_judges_tomorrow() -> None:
    """The day is one that has come."""
    (fault,) = faults((DANA,), 3, date(2026, 10, 4), DAY)
    assert fault.startswith("The day on which they judged, 2026-10-04, is still to come")


def test_capitals_do_not_tell_two_judges_apart() -> None:
    """Every spelling is named; a missing name is another fault."""
    judged = [Sheet(name, ()) for name in ("Dana", "DANA", "Lee", "", "")]
    assert named_twice(judged) == ("Dana", "DANA")


# ---- what is written into the file ----


def test_the_source_says_method_day_and_judges() -> None:
    """In the words that the page shows."""
    assert source((DANA,), DAY) == "Angoff 1971, set on 2026-10-03 by 1 judge: Dana"
    assert lines_of_file((DANA, PARENT, LEE), DAY) == (
        "pass_mark: 0.77",
        'pass_mark_source: "Angoff 1971, set on 2026-10-03 by 3 judges: Dana, A parent, Lee"',
    )


@given(st.lists(st.text().map(clean_name).filter(bool), min_size=1, max_size=4), PERCENTS)
def test_the_two_lines_are_read_back_from_a_quiz_file(names: list[str], percent: int) -> None:
    """Whatever stands in a name: quotes, signs, letters of any script."""
    judged = [Sheet(name, (percent,)) for name in names]
    text = QUIZ.replace("draw: 5", "\n".join(("draw: 5", *lines_of_file(judged, DAY))))
    files = small_files() | {"quizzes/safety.yaml": text}
    read = program_of(files).quizzes["safety"]
    assert (read.pass_mark, read.pass_mark_source) == (percent / 100, source(judged, DAY))
    assert not [one for one in found(files) if "pass_mark" in one]


@given(st.text())
def test_a_clean_name_stays_as_it_is(text: str) -> None:
    """And has one line."""
    assert clean_name(clean_name(text)) == clean_name(text)
    assert len(clean_name(text).splitlines()) <= 1


def test_a_name_keeps_what_belongs_to_it() -> None:
    """Spaces are taken together; a joiner that some scripts need stays; what steers a screen goes."""
    assert clean_name("  Dana\t Reyes\n") == "Dana Reyes"
    assert clean_name("\x07می\u200cخواهم") == "می\u200cخواهم"
    assert clean_name("\x00\x1b") == ""
    assert clean_name("Zoe\u0308") == "Zo\u00eb"
    assert clean_name("\u200b \u2060 --") == "", "nobody could tell who that is"
