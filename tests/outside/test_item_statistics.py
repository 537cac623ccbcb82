"""Item statistics against published data sets, published intervals, and two libraries that compute the same.

KR-20: Kuder and Richardson, Psychometrika 1937;2:151-160; the worked table is K. Wuensch's, East Carolina University
(KR20.txt), which prints the totals, the shares and the variance 5.84, not the coefficient. LSAT section 6: Bock and
Lieberman, Psychometrika 1970;35:179-197, read in two independent R packages (ltm, psych). Both read at the source; the
coefficients beside them were computed with pingouin, scipy and numpy, and are computed again here.
"""

from __future__ import annotations

from fractions import Fraction
from math import sqrt

import numpy as np
import pandas as pd
import pingouin
import pytest
from numpy.typing import NDArray
from scipy.optimize import minimize_scalar
from scipy.stats import binomtest, norm, pearsonr, pointbiserialr
from statsmodels.stats.proportion import proportion_confint

from mentor_training.learning.statistics import (
    GROUP,
    Band,
    Figures,
    alpha_of_draws,
    band,
    figures,
    group_size,
    spearman_brown,
    standard_error,
    wilson,
)
from mentor_training.learning.tallies import count

STUDENTS = """
1111110110 1011011101 1111011001 0010001000 0000010010 1110111111 1101110111 1111111101 0101111101 1101101110
"""
WORKED = [tuple(map(int, student)) for student in STUDENTS.split()]

# How many of the 1000 gave each of the 32 patterns of answers, 00000 to 11111, the first item first.
PATTERNS = "3 6 2 11 1 1 3 4 1 8 0 16 0 3 2 15 10 29 14 81 3 28 15 80 16 56 21 173 11 61 28 298"
LSAT = [
    tuple(map(int, f"{pattern:05b}")) for pattern, often in enumerate(map(int, PATTERNS.split())) for _ in range(often)
]

GUTTMAN = [tuple(int(item < person) for item in range(10)) for person in range(11)]


def rounded(values: list[float | None], places: int) -> list[float | None]:
    return [None if value is None else round(value, places) for value in values]


def item_rest(found: Figures, places: int = 6) -> list[float | None]:
    return rounded([item.item_rest for item in found.items], places)


def item_total(found: Figures, places: int = 6) -> list[float | None]:
    return rounded([item.item_total for item in found.items], places)


def alpha(rows: list[tuple[int, ...]]) -> float:
    """Compute the coefficient by pingouin."""
    return float(pingouin.cronbach_alpha(data=pd.DataFrame(rows))[0])


def table(rows: list[tuple[int, ...]]) -> NDArray[np.float64]:
    return np.array(rows, dtype=np.float64)


# ---- the worked table of ten students ----


def test_the_worked_table_is_the_published_one() -> None:
    """Totals, shares right, and the variance of the totals with divisor n as the page prints them."""
    assert [sum(student) for student in WORKED] == [8, 7, 7, 2, 2, 9, 8, 9, 7, 7]
    shares = [item.difficulty for item in figures(WORKED, 10).items]
    assert shares == [Fraction(share, 10) for share in (7, 7, 6, 7, 6, 8, 7, 7, 5, 6)]
    assert sum(share * (1 - share) for share in shares if share) == Fraction("2.18")
    deviation = figures(WORKED, 10).deviation
    assert deviation is not None
    assert deviation**2 * 9 / 10 == pytest.approx(5.84, abs=1e-12)


def test_kr_20_takes_both_variances_with_the_same_divisor() -> None:
    """0.6963 by (10/9)(1 - 2.18/5.84), and by pingouin; 0.7378, seen in tutorials, divides by the variance of n - 1."""
    found = figures(WORKED, 10).kr20
    assert found == pytest.approx(0.6963470319634703, abs=1e-12)
    assert found == pytest.approx(alpha(WORKED), abs=1e-12)
    wrong = 10 / 9 * (1 - 2.18 / (5.84 * 10 / 9))
    assert round(wrong, 4) == 0.7378
    assert found != pytest.approx(wrong, abs=1e-3)


def test_kr_21_of_the_worked_table() -> None:
    """0.68417 (own arithmetic): k = 10, mean 6.6, variance 5.84."""
    assert figures(WORKED, 10).kr21 == pytest.approx(10 / 9 * (1 - 6.6 * 3.4 / (10 * 5.84)), abs=1e-12)
    assert round(figures(WORKED, 10).kr21 or 0, 5) == 0.68417


def test_an_item_is_compared_with_the_rest_and_not_with_itself() -> None:
    """Item 9 tells it: 0.0828 with itself in the total, -0.1236 without (numpy)."""
    found, scores = figures(WORKED, 10), table(WORKED)
    rest = [0.7059, 0.7059, 0.0, 0.4736, 0.5839, 0.2861, -0.0274, 0.7059, -0.1236, 0.4759]
    total = [0.7946, 0.7946, 0.2027, 0.6140, 0.7095, 0.4345, 0.1625, 0.7946, 0.0828, 0.6251]
    assert (item_rest(found, 4), item_total(found, 4)) == (rest, total)
    sums = scores.sum(axis=1)
    by_numpy = [float(np.corrcoef(scores[:, item], sums - scores[:, item])[0, 1]) for item in range(10)]
    assert [item.item_rest for item in found.items] == pytest.approx(by_numpy, abs=1e-12)


# ---- LSAT section 6 ----


def test_lsat_6_difficulties_and_scores_are_the_published_ones() -> None:
    """A thousand people, five items, how many reached 0 to 5; mean 3.819, deviation with n - 1."""
    found = figures(LSAT, 5)
    totals = [sum(person) for person in LSAT]
    assert [totals.count(score) for score in range(6)] == [3, 20, 85, 237, 357, 298]
    assert [item.difficulty for item in found.items] == [Fraction(n, 1000) for n in (924, 709, 553, 763, 870)]
    assert {item.people for item in found.items} == {found.people} == {1000}
    assert found.mean == Fraction(3819, 1000)
    assert found.deviation == pytest.approx(1.035041, abs=5e-7)
    assert found.deviation == pytest.approx(float(table(LSAT).sum(axis=1).std(ddof=1)), abs=1e-12)


def test_lsat_6_reliability_and_standard_error() -> None:
    """KR-20 is pingouin's alpha; KR-21 and the standard error by their formulas."""
    found = figures(LSAT, 5)
    assert found.kr20 == pytest.approx(0.2949971922159438, abs=1e-12)
    assert found.kr20 == pytest.approx(alpha(LSAT), abs=1e-12)
    assert round(found.kr21 or 0, 6) == 0.196441
    assert round(found.sem or 0, 6) == 0.869067


def test_lsat_6_correlations() -> None:
    """With the whole total scipy's point-biserial, with the rest numpy's."""
    found, scores = figures(LSAT, 5), table(LSAT)
    assert item_total(found) == [0.362010, 0.566772, 0.618440, 0.534418, 0.435366]
    assert item_rest(found) == [0.112833, 0.153178, 0.172779, 0.144428, 0.121596]
    by_scipy = [float(pointbiserialr(scores[:, item], scores.sum(axis=1)).statistic) for item in range(5)]
    assert [item.item_total for item in found.items] == pytest.approx(by_scipy, abs=1e-12)


def test_lsat_6_reliability_without_each_item() -> None:
    """What is left when an item is taken out, here and by pingouin."""
    without = [[(*person[:item], *person[item + 1 :]) for person in LSAT] for item in range(5)]
    found = [figures(rows, 4).kr20 for rows in without]
    assert rounded(found, 6) == [0.275356, 0.237584, 0.216799, 0.245933, 0.266294]
    assert found == pytest.approx([alpha(rows) for rows in without], abs=1e-12)


def test_lsat_6_halves_lengthened_by_spearman_and_brown() -> None:
    """Odd against even items: 0.203360, lengthened to the whole 0.337987."""
    scores = table(LSAT)
    halves = float(pearsonr(scores[:, 0::2].sum(axis=1), scores[:, 1::2].sum(axis=1)).statistic)
    assert round(halves, 6) == 0.203360
    assert round(spearman_brown(2, halves), 6) == 0.337987


def test_lsat_6_discrimination_shares_those_who_stand_equal_at_the_cut() -> None:
    """The upper 270 are among 298 with full score, the lower among 237 with three points (own arithmetic)."""
    shared = [0.1966, 0.6315, 0.8109, 0.5370, 0.3203]
    for rows in (LSAT, LSAT[::-1], sorted(LSAT, key=lambda person: person[2])):
        assert [round(float(item.discrimination or 0), 4) for item in figures(rows, 5).items] == shared


def test_the_same_by_row_order_would_be_another_answer() -> None:
    """So that the check above can fail: the first and the last 270 of a sorted table, by how its ties happen to lie."""

    def by_row_order(rows: list[tuple[int, ...]]) -> float:
        ranked = sorted(rows, key=sum)
        return sum(person[2] for person in ranked[-270:]) / 270 - sum(person[2] for person in ranked[:270]) / 270

    rising = sorted(LSAT, key=lambda person: person[2])
    assert by_row_order(rising) > 0.85
    assert by_row_order(rising[::-1]) < 0.75


# ---- people who were asked different items ----


def test_a_table_with_gaps_gives_pingouins_pairwise_alpha() -> None:
    """The library's data set `cronbach_wide_missing`: 0.732660835214447 pair by pair, as it computes again here."""
    data = pingouin.read_dataset("cronbach_wide_missing")
    rows = [tuple(None if score != score else int(score) for score in row) for row in data.to_numpy().tolist()]
    found = alpha_of_draws(count(rows, 11), 11)
    assert found == pytest.approx(0.732660835214447, abs=1e-12)
    assert found == pytest.approx(float(pingouin.cronbach_alpha(data=data)[0]), abs=1e-12)


def test_people_without_gaps_alone_give_pingouins_listwise_alpha() -> None:
    """The same data set with everybody left out who was not asked everything: 0.8016949152542373."""
    data = pingouin.read_dataset("cronbach_wide_missing").dropna()
    found = figures([tuple(map(int, row)) for row in data.to_numpy().tolist()], 11).kr20
    assert found == pytest.approx(0.8016949152542373, abs=1e-12)


def test_scores_between_0_and_1_give_cronbachs_alpha() -> None:
    """Pingouin's data set `cronbach_alpha`, eleven people: 0.5917188485995826, which no common scale changes."""
    long = pingouin.read_dataset("cronbach_alpha")
    answers = long.pivot_table(index="Subj", columns="Items", values="Scores").to_numpy()
    rows = (answers / answers.max()).tolist()
    assert figures(rows, len(rows[0])).kr20 == pytest.approx(0.5917188485995826, abs=1e-12)


def test_scipys_example_of_a_point_biserial_correlation() -> None:
    """0.8660254037844386 of [0, 0, 0, 1, 1, 1, 1] and 0 to 6; the rest of an item of two is the other one."""
    rows = [(right, Fraction(rest, 6)) for rest, right in enumerate((0, 0, 0, 1, 1, 1, 1))]
    assert figures(rows, 2).items[0].item_rest == pytest.approx(0.8660254037844386, abs=1e-12)


def test_without_gaps_pair_by_pair_is_the_coefficient_itself() -> None:
    """Both published tables."""
    assert alpha_of_draws(count(WORKED, 10), 10) == pytest.approx(0.6963470319634703, abs=1e-12)
    assert alpha_of_draws(count(LSAT, 5), 5) == pytest.approx(0.2949971922159438, abs=1e-12)


# ---- groups and bands ----


def test_twenty_seven_percent_is_where_the_contrast_of_two_groups_is_surest() -> None:
    """Kelley, J Educ Psychol 1939;30:17-24 (cited from memory): phi(z) / sqrt(p) is greatest at p = 0.27027."""
    found = minimize_scalar(lambda p: -norm.pdf(norm.isf(p)) / sqrt(p), bounds=(0.01, 0.5), method="bounded")
    assert float(found.x) == pytest.approx(0.2702678, abs=1e-5)
    assert float(norm.isf(found.x)) == pytest.approx(0.612003, abs=1e-4)
    assert round(float(found.x), 2) == float(GROUP)


def test_guttmans_ladder_of_items() -> None:
    """Eleven people, person i passes the first i of ten items, so that nobody stands equal (own arithmetic)."""
    found = figures(GUTTMAN, 10)
    assert group_size(11) == 3
    assert [item.difficulty for item in found.items] == [Fraction(n, 11) for n in range(10, 0, -1)]
    third = Fraction(1, 3)
    assert [item.discrimination for item in found.items] == [third, 2 * third, 1, 1, 1, 1, 1, 1, 2 * third, third]
    assert found.kr20 == pytest.approx(10 / 9 * (1 - sum(n * (11 - n) for n in range(1, 11)) / 121 / 10), abs=1e-12)
    assert round(found.kr20 or 0, 6) == 0.909091


@pytest.mark.parametrize(
    ("discrimination", "word"),
    [("1", Band.VERY_GOOD), ("0.40", Band.VERY_GOOD), ("0.39", Band.REASONABLY_GOOD), ("0.30", Band.REASONABLY_GOOD),
     ("0.29", Band.MARGINAL), ("0.20", Band.MARGINAL), ("0.19", Band.POOR), ("-1", Band.POOR)],
)  # fmt: skip
def test_ebels_bands(discrimination: str, word: Band) -> None:
    """Ebel and Frisbie 1991 (from memory; a teaching worksheet prints the same four bands)."""
    assert band(Fraction(discrimination)) == word


# ---- Wilson's interval ----

INTERVALS = [
    # hits, people, low, high; Wilson, JASA 1927;22:209-212. The first four agree to four places with Newcombe, Stat Med
    # 1998;17:857-872, Table I, as remembered; 3/10, 0/10, 10/10 and 19/38 stand in scipy's and statsmodels' own tests.
    (81, 263, 0.255289, 0.366210, 6),
    (15, 148, 0.062386, 0.160487, 6),
    (0, 20, 0, 0.161125, 6),
    (1, 29, 0.006113, 0.171755, 6),
    (3, 10, 0.1077913, 0.6032219, 7),
    (0, 10, 0, 0.2775328, 7),
    (10, 10, 0.7224672, 1, 7),
    (8, 10, 0.490162, 0.943318, 6),
    (18, 20, 0.698966, 0.972134, 6),
    (19, 38, 0.348499283643951, 0.651500716356049, 12),
]


@pytest.mark.parametrize(("hits", "people", "low", "high", "places"), INTERVALS)
def test_wilsons_interval(hits: int, people: int, low: float, high: float, places: int) -> None:
    """The published value, statsmodels and scipy; exactly 0 and 1 at the ends."""
    found = wilson(hits, people)
    assert found is not None
    assert found == pytest.approx((low, high), abs=10**-places)
    assert found == pytest.approx(proportion_confint(hits, people, method="wilson"), abs=1e-12)
    by_scipy = binomtest(hits, people).proportion_ci(method="wilson")
    assert found == pytest.approx((by_scipy.low, by_scipy.high), abs=1e-12)
    assert (found[0] == 0) == (hits == 0)
    assert (found[1] == 1) == (hits == people)


# ---- longer tests, and what a score is worth ----


@pytest.mark.parametrize(
    ("times", "reliability", "found"), [(2, 0.60, 0.75), (2, 0.70, 0.823529), (3, 0.50, 0.75), (0.5, 0.80, 0.666667)]
)
def test_spearman_and_brown(times: float, reliability: float, found: float) -> None:
    """By the formula's arithmetic."""
    assert round(spearman_brown(times, reliability), 6) == found


@pytest.mark.parametrize(("deviation", "reliability", "found"), [(15, 0.91, 4.5), (10, 0.84, 4.0)])
def test_the_standard_error_of_measurement(deviation: float, reliability: float, found: float) -> None:
    """By the formula's arithmetic."""
    assert standard_error(deviation, reliability) == pytest.approx(found, abs=1e-12)
