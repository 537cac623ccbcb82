"""What holds of item statistics whatever the table: bounds, symmetries, what is not defined, and a plain reckoning."""

from __future__ import annotations

from fractions import Fraction
from math import isclose

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.learning.statistics import (
    Band,
    Figures,
    ItemFigures,
    alpha_of_draws,
    band,
    figures,
    group_size,
    spearman_brown,
    wilson,
)
from mentor_training.learning.tallies import count

Rows = list[tuple[Fraction | None, ...]]

RIGHT_OR_WRONG = st.sampled_from([Fraction(0), Fraction(1)])
IN_PARTS = st.sampled_from([Fraction(part, 12) for part in (0, 3, 4, 6, 8, 12)])


@st.composite
def tables(draw: st.DrawFn, scores: st.SearchStrategy[Fraction] = IN_PARTS, least: int = 0) -> Rows:
    """Draw a table in which everybody was asked everything: up to 25 people, 1 to 6 items."""
    items = draw(st.integers(max(1, least), 6))
    row = st.tuples(*[scores] * items)
    return list(draw(st.lists(row, min_size=least, max_size=25)))


@st.composite
def drawn_tables(draw: st.DrawFn) -> Rows:
    """Draw a table in which people were asked some of the items, or none."""
    items = draw(st.integers(1, 6))
    row = st.tuples(*[st.one_of(st.none(), IN_PARTS)] * items)
    return list(draw(st.lists(row, max_size=25)))


ANY = st.one_of(tables(RIGHT_OR_WRONG), tables(), drawn_tables())


def found_in(rows: Rows) -> Figures:
    return figures(rows, len(rows[0]) if rows else 3)


def complement(score: Fraction | None) -> Fraction:
    return 1 - (score or Fraction(0))


def same(one: float | None, other: float | None) -> bool:
    return one is other is None or (one is not None and other is not None and isclose(one, other, abs_tol=1e-9))


@given(ANY)
def test_every_figure_stays_within_its_bounds(rows: Rows) -> None:
    """Shares 0 to 1, discrimination and correlations -1 to 1, reliability at most 1, no negative error."""
    found = found_in(rows)
    for item in found.items:
        assert item.difficulty is None or 0 <= item.difficulty <= 1
        assert item.best is None or item.difficulty is None or 0 <= item.best <= item.difficulty
        assert item.discrimination is None or -1 <= item.discrimination <= 1
        for correlation in (item.item_rest, item.item_total):
            assert correlation is None or -1 <= correlation <= 1
    for reliability in (found.kr20, found.kr21):
        assert reliability is None or reliability <= 1
    assert found.sem is None or found.sem >= 0


@given(ANY, st.randoms(use_true_random=False))
def test_the_order_of_people_changes_nothing(rows: Rows, chance: object) -> None:
    """Not a digit: those who stand equal at a cut are shared, not ranked."""
    turned = list(rows)
    chance.shuffle(turned)  # type: ignore[attr-defined]
    assert found_in(turned) == found_in(rows)


@given(ANY, st.randoms(use_true_random=False))
def test_the_order_of_items_changes_no_item(rows: Rows, chance: object) -> None:
    """Each takes its figures along."""
    items = len(rows[0]) if rows else 3
    places = list(range(items))
    chance.shuffle(places)  # type: ignore[attr-defined]
    turned = figures([tuple(row[place] for place in places) for row in rows], items)
    assert turned.items == tuple(found_in(rows).items[place] for place in places)
    assert same(turned.kr20, found_in(rows).kr20)


@given(tables())
def test_turning_right_and_wrong_around_keeps_what_compares_and_turns_difficulty(rows: Rows) -> None:
    """Each score taken from 1: correlations, discrimination and reliability stand, difficulty is taken from 1."""
    found, turned = found_in(rows), found_in([tuple(map(complement, row)) for row in rows])
    for one, other in zip(found.items, turned.items, strict=True):
        assert one.difficulty is None or other.difficulty == 1 - one.difficulty
        assert other.discrimination == one.discrimination
        assert same(other.item_rest, one.item_rest)
    assert same(turned.kr20, found.kr20)


@given(tables(least=2))
def test_turning_one_item_around_turns_the_sign_of_its_correlation_with_the_rest(rows: Rows) -> None:
    """A key that marks the wrong option right shows itself so."""
    turned = [(complement(row[0]), *row[1:]) for row in rows]
    before, after = found_in(rows).items[0].item_rest, found_in(turned).items[0].item_rest
    assert same(after, None if before is None else -before)


@given(tables(least=2))
def test_everybody_twice_keeps_difficulty_correlation_and_reliability(rows: Rows) -> None:
    """They depend on shares of people, not on how many."""
    once, twice = found_in(rows), found_in([*rows, *rows])
    assert [item.difficulty for item in twice.items] == [item.difficulty for item in once.items]
    assert all(same(a.item_rest, b.item_rest) for a, b in zip(once.items, twice.items, strict=True))
    assert same(once.kr20, twice.kr20)


@given(tables(RIGHT_OR_WRONG))
def test_kr_21_never_exceeds_kr_20(rows: Rows) -> None:
    """It takes all items for equally hard, which can only lose (Kuder and Richardson 1937)."""
    found = found_in(rows)
    assert found.kr20 is None or found.kr21 is None or found.kr21 <= found.kr20 + 1e-9


@given(tables(least=2))
def test_a_score_as_a_float_counts_as_the_fraction_it_stands_for(rows: Rows) -> None:
    """One third written 0.333... is one third."""
    assert figures([tuple(float(score or 0) for score in row) for row in rows], len(rows[0])) == found_in(rows)


@given(drawn_tables())
def test_an_item_has_the_people_who_were_asked_it_behind_it(rows: Rows) -> None:
    """Difficulty is their mean; who was asked nothing at all counts nowhere."""
    found = found_in(rows)
    assert found.people == sum(any(score is not None for score in row) for row in rows)
    for place, item in enumerate(found.items):
        asked = [row[place] for row in rows if row[place] is not None]
        assert item.people == len(asked)
        assert item.difficulty == (sum(score or 0 for score in asked) / Fraction(len(asked)) if asked else None)


def plain_discrimination(rows: Rows, place: int) -> Fraction | None:
    """Reckon the upper-lower difference person by person, in fractions of people, as the definition reads."""
    asked = [row for row in rows if row[place] is not None]
    standing = [Fraction(sum(score or 0 for score in row), sum(score is not None for score in row)) for row in asked]
    if len(set(standing)) < 2:
        return None
    size = group_size(len(asked))

    def mean(ahead: int) -> Fraction:
        points = Fraction(0)
        for one, row in zip(standing, asked, strict=True):
            before = sum((other - one) * ahead > 0 for other in standing)
            equal = standing.count(one)
            part = min(Fraction(1), max(Fraction(0), Fraction(size - before, equal)))
            points += part * (row[place] or 0)
        return points / size

    return mean(1) - mean(-1)


@given(ANY)
def test_discrimination_is_what_the_definition_reckons(rows: Rows) -> None:
    """Person by person, with gaps and without."""
    for place, item in enumerate(found_in(rows).items):
        assert item.discrimination == plain_discrimination(rows, place)


# ---- what is not defined ----


def test_nobody_gives_nothing() -> None:
    """And no error."""
    assert figures([], 2) == Figures(0, (ItemFigures(0), ItemFigures(0)))
    assert figures([(None, None)], 2).people == 0
    assert figures([(), ()], 0) == Figures(0, ())


def test_one_person_has_a_difficulty_and_nothing_that_compares() -> None:
    """There is nobody to compare with."""
    found = figures([(1, 0)], 2)
    assert [item.difficulty for item in found.items] == [1, 0]
    assert found.mean == 1
    assert {item.discrimination for item in found.items} == {item.item_rest for item in found.items} == {None}
    assert (found.deviation, found.kr20, found.kr21, found.sem) == (None, None, None, None)


def test_equal_totals_compare_nobody() -> None:
    """The totals do not vary: no group is upper, and no reliability."""
    found = figures([(1, 0), (0, 1), (1, 0)], 2)
    assert [item.discrimination for item in found.items] == [None, None]
    assert (found.deviation, found.kr20, found.kr21, found.sem) == (0.0, None, None, None)
    assert [item.item_rest for item in found.items] == [-1.0, -1.0]


def test_an_item_that_everybody_has_right_correlates_with_nothing() -> None:
    """It discriminates 0, which is defined; its correlation is not."""
    item = figures([(1, 0, 0), (1, 1, 0), (1, 1, 1)], 3).items[0]
    assert item.difficulty == 1
    assert item.discrimination == 0
    assert (item.item_rest, item.band) == (None, Band.POOR)


def test_a_single_item_has_no_rest_and_no_reliability() -> None:
    """One item cannot agree with itself."""
    found = figures([(1,), (0,), (1,)], 1)
    assert (found.items[0].item_rest, found.kr20, found.kr21, found.sem) == (None, None, None, None)
    assert found.items[0].discrimination == 1


def test_with_partial_credit_kr_20_is_alpha_and_there_is_no_kr_21() -> None:
    """By hand: variances 1/18 and 2/9, of the totals 1/2; 2 * (1 - 5/9) = 8/9."""
    found = figures([(0, 0), (0.5, 1), (0.5, 1), (0.5, 1), (0, 0), (0.5, 1)], 2)
    assert found.kr20 == pytest.approx(8 / 9)
    assert found.kr21 is None
    assert found.items[0].best == 0


def test_tests_of_different_length_have_no_reliability() -> None:
    """Its formulas ask how many items a test has; the items keep their figures."""
    found = figures([(1, 0, None), (0, 1, 1), (1, 1, 1)], 3)
    assert (found.length, found.mean, found.kr20, found.sem) == (None, None, None, None)
    assert found.items[0].discrimination is not None


def test_a_drawn_test_has_the_reliability_of_its_own_length() -> None:
    """Pairs of items that were asked together tell it, by Spearman and Brown; with no pair asked twice, nothing."""
    pairs = [(1, 1), (0, 0), (1, 0), (0, 0), (1, 1)]
    rows: list[tuple[int | None, ...]] = [(a, b, None) for a, b in pairs]
    rows += [(a, None, b) for a, b in pairs] + [(None, a, b) for a, b in pairs]
    found = figures(rows, 3)
    whole = alpha_of_draws(count(rows, 3), 3)
    assert (found.length, found.people) == (2, 15)
    assert whole is not None
    assert found.kr20 == pytest.approx(spearman_brown(2 / 3, whole))
    assert figures([(1, 1, None), (None, 0, 1), (0, None, 0)], 3).kr20 is None


def test_a_reliability_above_1_is_none() -> None:
    """So few were asked two items together that the pairs vary more than the items do."""
    rows = [(1, 1, None), (0, 0, None), (None, 1, 1), (None, 0, 0), (1, None, 1), (0, None, 0)]
    assert (figures(rows, 3).kr20, figures(rows, 3).sem) == (None, None)


@pytest.mark.parametrize("row", [(1,), (1, 0, 1), (2, 0), (-0.1, 0), (float("nan"), 0)])
def test_what_is_no_table_of_scores_is_refused(row: tuple[float, ...]) -> None:
    """Another number of scores, or one beyond 0 and 1."""
    with pytest.raises(ValueError, match=r"score"):
        figures([(1, 0), row], 2)


# ---- groups, bands, intervals ----


@pytest.mark.parametrize(("people", "size"), [(1, 1), (2, 1), (5, 1), (6, 2), (10, 3), (11, 3), (50, 14), (1000, 270)])
def test_a_group_is_27_percent_to_the_nearest_whole_and_at_least_one(people: int, size: int) -> None:
    """Halves go up: 13.5 of 50 are 14."""
    assert group_size(people) == size


@given(st.integers(2, 10_000))
def test_the_two_groups_never_overlap(people: int) -> None:
    """Together at most everybody."""
    assert 2 * group_size(people) <= people


def test_what_is_not_defined_is_in_no_band() -> None:
    """No word for no figure."""
    assert band(None) is None


@given(st.integers(0, 300), st.integers(1, 300))
def test_wilsons_interval_holds_the_share_and_mirrors(hits: int, more: int) -> None:
    """The share lies within, strictly unless it is an end; hits and misses mirror each other."""
    people = hits + more
    low, high = wilson(hits, people) or (1, 0)
    assert 0 <= low <= hits / people <= high <= 1
    mirrored = wilson(more, people) or (0, 0)
    assert mirrored == pytest.approx((1 - high, 1 - low), abs=1e-12)


def test_of_nobody_there_is_no_share() -> None:
    """And more hits than people are a mistake."""
    assert wilson(0, 0) is None
    with pytest.raises(ValueError, match="no share"):
        wilson(3, 2)


@given(st.floats(-0.5, 1), st.floats(1, 2))
def test_a_test_as_long_as_it_is_keeps_its_reliability(reliability: float, times: float) -> None:
    """And a longer one of a reliable kind has more."""
    assert spearman_brown(1, reliability) == reliability
    assert reliability <= 0 or spearman_brown(times, reliability) >= reliability - 1e-12
