"""Observer agreement against published data and three libraries that compute the same.

Read in a secondary source that carries the data: Cohen, Educ Psychol Meas 1960;20:37-46 and Psychol Bull
1968;70:213-220, and Fleiss, Cohen and Everitt, Psychol Bull 1969;72:323-327 (manual page of the R package psych);
Fleiss, Psychol Bull 1971;76:378-382, anxiety and a second table (R package irr, statsmodels' tests); Landis and Koch,
Biometrics 1977;33:159-174 (R package irrCAC). Read at the source: the AC1 and its standard error for the first data set
of Gwet, Handbook of Inter-Rater Reliability, 4th edition, 2014 (irrCAC's vignette). From memory: which two tables are
Feinstein and Cicchetti's (J Clin Epidemiol 1990;43:543-549), and Krippendorff's A and B (Computing Krippendorff's
Alpha-Reliability, 2011). statsmodels and krippendorff compute here; irrCAC 0.4.4 asks for one old scipy and cannot be
installed beside the others, so that what it printed, run by itself, is written down.
"""

from __future__ import annotations

from collections import Counter
from typing import Literal

import krippendorff
import numpy as np
import pytest
from numpy.typing import NDArray
from statsmodels.stats.inter_rater import cohens_kappa, fleiss_kappa

from mentor_training.observing.agreement import coefficients
from mentor_training.observing.agreement.bands import Band, band
from mentor_training.observing.agreement.errors import error_by_chance, error_of_kappa
from mentor_training.observing.agreement.figures import Figure, How, by_mark, figures
from mentor_training.observing.agreement.sums import Numbers, sums
from tests.observing.marking import Rows, marks_of, rows_of, rows_of_counts, rows_of_table

COHEN = [[88, 14, 18], [10, 40, 10], [2, 6, 12]]
COHEN_WEIGHTS = [[0, 1, 3], [1, 0, 6], [3, 6, 0]]
UNEVEN_WEIGHTS = [[0, 1, 4], [1, 0, 6], [2, 2, 0]]

EVERITT = [[106, 10, 4], [22, 28, 10], [2, 12, 6]]
EVERITT_WEIGHTS = [[0, 1, 0.5556], [1, 0, 0.3333], [0.5556, 0.3333, 0]]

FLEISS = """
00060 03003 01401 00006 03030 20400 00402 20310 20040 00006 10050 11040 03300 10050 02031
00501 30012 51000 02040 10203 00006 01050 02013 20040 10041 05010 40002 02040 10500 00006
"""
SECOND = [
    (0, 0, 0, 0, 14), (0, 2, 6, 4, 2), (0, 0, 3, 5, 6), (0, 3, 9, 2, 0), (2, 2, 8, 1, 1),
    (7, 7, 0, 0, 0), (3, 2, 6, 3, 0), (2, 5, 3, 2, 2), (6, 5, 2, 1, 0), (0, 2, 2, 3, 7),
]  # fmt: skip

GWET = "11-1 2232 3333 3333 2222 1234 4444 1121 2222 -555 --11 --3-"
GWET_2 = [[13, 0, 0], [0, 20, 7], [0, 4, 56]]
GWET_3 = [[40, 6, 4, 15], [4, 25, 1, 5], [4, 2, 21, 9], [17, 13, 12, 45]]

ANXIETY = "332 361 344 464 523 542 221 346 531 231 221 632 133 533 221 221 113 233 432 342"


def value(figure: Figure | None) -> float:
    assert figure is not None
    return figure.value


def cohen(table: list[list[int]], weights: Numbers | None = None) -> float:
    found = sums(marks_of(rows_of_table(table)))
    return float(coefficients.cohen(found.sampled(np.ones((1, len(found.rated)))), weights)[0])


def test_cohens_own_table_of_1960() -> None:
    """Published .492; the interval of the large-sample standard error is statsmodels' own."""
    found, theirs = figures(marks_of(rows_of_table(COHEN))), cohens_kappa(np.array(COHEN))
    assert round(cohen(COHEN), 3) == 0.492
    assert found.cohen is not None
    assert found.cohen.how is How.FORMULA
    assert (found.cohen.value, found.cohen.low, found.cohen.high) == pytest.approx(
        (theirs.kappa, theirs.kappa_low, theirs.kappa_upp), abs=1e-12
    )
    assert (round(found.cohen.low or 0, 6), round(found.cohen.high or 0, 6)) == (0.391564, 0.591487)
    assert value(found.percent) == pytest.approx(70)
    assert value(found.cohen_weighted) == pytest.approx(0.473684, abs=5e-7)


def test_cohens_weighted_kappa_of_1968() -> None:
    """Published .348, and .353 with weights that are not symmetric: exchanged observers give .42056."""
    weights, uneven = np.array(COHEN_WEIGHTS, dtype=float), np.array(UNEVEN_WEIGHTS, dtype=float)
    assert cohen(COHEN, weights) == pytest.approx(cohens_kappa(np.array(COHEN), weights=weights).kappa, abs=1e-12)
    assert round(cohen(COHEN, weights), 3) == 0.348
    assert cohen(COHEN, uneven) == pytest.approx(0.35338345864661647, abs=1e-12)
    exchanged = [list(line) for line in zip(*COHEN, strict=True)]
    assert round(cohen(exchanged, uneven), 5) == 0.42056
    assert cohen(COHEN, coefficients.linear_weights(3) ** 2) == pytest.approx(0.454545, abs=5e-7)


def test_standard_errors_of_fleiss_cohen_and_everitt() -> None:
    """Their table of 1969: kappa .429 and weighted .507, and both variances of each as statsmodels has them."""
    table, weights = np.array(EVERITT, dtype=float), np.array(EVERITT_WEIGHTS)
    for given, kappa, variance, by_chance in (
        (None, 0.4285714285714285, 0.0028848720440557184, 0.0030816326530612257),
        (weights, 0.5070699648667976, 0.003248302893568226, 0.004268777812186805),
    ):
        theirs = cohens_kappa(table, weights=given)
        assert cohen(EVERITT, given) == pytest.approx(theirs.kappa, abs=1e-12)
        assert cohen(EVERITT, given) == pytest.approx(kappa, abs=1e-4)
        assert error_of_kappa(table, given) == pytest.approx(theirs.std_kappa, abs=1e-12)
        assert error_by_chance(table, given) == pytest.approx(theirs.std_kappa0, abs=1e-12)
        assert (error_of_kappa(table, given) or 0) ** 2 == pytest.approx(variance, rel=1e-3)
        assert (error_by_chance(table, given) or 0) ** 2 == pytest.approx(by_chance, rel=1e-3)


@pytest.mark.parametrize(
    ("table", "agree", "kappa", "ac1"),
    [
        ([[40, 9], [6, 45]], 85, 0.699519, 0.70074813),
        ([[80, 10], [5, 5]], 85, 0.318182, 0.808),
        ([[20, 5], [10, 15]], 70, 0.4, 0.405940594),
        (GWET_2, 89, 0.796409402, 0.849330548),
        (GWET_3, 58.744, 0.431500776, 0.456157635),
    ],
    ids=["balanced", "paradox", "by hand", "Gwet's second", "Gwet's third"],
)
def test_tables_of_two_observers(table: list[list[int]], agree: float, kappa: float, ac1: float) -> None:
    """Same agreement, far lower kappa: the paradox; and Gwet's two cross tables."""
    found = figures(marks_of(rows_of_table(table)))
    assert value(found.percent) == pytest.approx(agree, abs=5e-4)
    assert value(found.cohen) == pytest.approx(kappa, abs=5e-7)
    assert value(found.cohen) == pytest.approx(cohens_kappa(np.array(table)).kappa, abs=1e-12)
    assert value(found.ac1) == pytest.approx(ac1, abs=5e-9)


def test_scotts_pi_is_fleiss_kappa_of_two() -> None:
    """Gwet's two tables: .79624 and .43034."""
    assert round(value(figures(marks_of(rows_of_table(GWET_2))).fleiss), 5) == 0.79624
    assert round(value(figures(marks_of(rows_of_table(GWET_3))).fleiss), 5) == 0.43034


def test_one_mark_only_is_not_defined() -> None:
    """The library has not-a-number there; ours is None, neither 0 nor 1, and all the marks are the same."""
    found = figures(marks_of(rows_of("00 00 00")))
    with np.errstate(invalid="ignore"):
        assert np.isnan(cohens_kappa(np.array([[3, 0], [0, 0]])).kappa)
    assert value(found.percent) == 100
    assert (found.cohen, found.cohen_weighted, found.fleiss, found.ac1) == (None,) * 4
    assert (found.alpha_nominal, found.alpha_ordinal) == (None, None)
    assert error_of_kappa(np.array([[3.0]])) is None


def test_fleiss_own_table_of_1971() -> None:
    """Published .430, and by category .245 .245 .520 .471 .566; the rest as irrCAC has it."""
    counts = [tuple(map(int, line)) for line in FLEISS.split()]
    assert [sum(column) for column in zip(*counts, strict=True)] == [26, 26, 30, 55, 43]
    marks = marks_of(rows_of_counts(counts))
    found = figures(marks)
    assert round(value(found.fleiss), 3) == 0.430
    assert value(found.fleiss) == pytest.approx(fleiss_kappa(np.array(counts)), abs=1e-12)
    assert [round(one or 0, 3) for one in by_mark(marks)] == [0.245, 0.245, 0.520, 0.471, 0.566]
    assert round(value(found.percent_of_pairs), 2) == 55.56
    assert round(value(found.alpha_nominal), 5) == 0.43341
    assert round(value(found.ac1), 5) == 0.44788


def test_a_second_table_of_fourteen_observers() -> None:
    """Published .210."""
    found = figures(marks_of(rows_of_counts(SECOND)))
    assert round(value(found.fleiss), 5) == 0.20993
    assert value(found.fleiss) == pytest.approx(fleiss_kappa(np.array(SECOND)), abs=1e-12)


@pytest.mark.parametrize(
    ("observers", "expected"),
    [(("0100000010", "1110010000"), 0.095), (("001131022330", "101112223003"), None)],
    ids=["A", "another"],
)
def test_krippendorffs_binary_example(observers: tuple[str, str], expected: float | None) -> None:
    """A: .095."""
    rows = [tuple(map(int, pair)) for pair in zip(*observers, strict=True)]
    found = value(figures(marks_of(rows)).alpha_nominal)
    assert found == pytest.approx(by_krippendorff(rows, "nominal"), abs=1e-12)
    assert expected is None or round(found, 3) == expected


def test_krippendorffs_nominal_example() -> None:
    """B: .692."""
    observers = ("aabbdcccedda", "babbbccceddd")
    rows = [tuple("abcde".index(mark) for mark in pair) for pair in zip(*observers, strict=True)]
    assert value(figures(marks_of(rows)).alpha_nominal) == pytest.approx(0.6919642857142858, abs=1e-12)


def test_gwets_data_with_missing_marks() -> None:
    """Published AC1 .775 (standard error .143); Fleiss' generalized kappa and alpha as irrCAC has them."""
    found = figures(marks_of(rows_of(GWET)))
    assert round(value(found.ac1), 5) == 0.77544
    assert round(value(found.fleiss), 5) == 0.76117
    assert round(value(found.percent_of_pairs), 3) == 81.818
    assert value(found.alpha_nominal) == pytest.approx(by_krippendorff(rows_of(GWET), "nominal"), abs=1e-12)
    # The bootstrap of twelve units is about as wide as the published error says.
    assert found.ac1 is not None
    assert (found.ac1.high or 0) - (found.ac1.low or 0) == pytest.approx(2 * 1.96 * 0.14295, rel=0.15)


def test_ratings_of_anxiety() -> None:
    """Three observers: the first two .119497; the last two a little below 0, as R has it, .145908 by steps."""
    first = [row[:2] for row in rows_of(ANXIETY)]
    last = figures(marks_of([row[1:] for row in rows_of(ANXIETY)]))
    assert round(value(figures(marks_of(first)).cohen), 6) == 0.119497
    assert value(last.cohen) == pytest.approx(-0.006289308, abs=5e-10)
    assert value(last.cohen_weighted) == pytest.approx(0.1459075, abs=5e-8)


# What irrCAC 0.4.4 printed for these random tables, marks 0 to q - 1: AC1, Fleiss, alpha, pairs alike.
BY_IRRCAC = [
    ("10 00 00 00 00 11 00 00 00 00 01 11 11 00 11 01 11 10 11 11", 0.603960396, 0.595959596, 0.606060606, 0.8),
    (
        "100 221 211 100 220 001 222 011 222 111 222 022 222 221 000 020 011 001 112 121 201 222 000 220 200",
        0.305739222, 0.288232104, 0.297722343, 0.533333333,
    ),
    (
        ("03222 22222 43200 13323 30103 14233 00031 11121 02443 44411 10111 44444 00004 43444 11222 11112 11101 31333"
        " 22222 33340 01111 21111 22320 20222 44444 20000 11111 22242 33432 21111"),
        0.415067205, 0.40200181, 0.405988464, 0.53,
    ),
    (
        "0020 0420 5555 2222 2222 2222 1222 0225 4551 5255 4333 4550 0000 5000 5433",
        0.475272203, 0.41902687, 0.428709756, 0.555555556,
    ),
    ("11 01 01 1- 11 1- 0- 11 01 1- 00 11 0- -0 11 00 10 00", 0.341463415, 0.325, 0.342857143, 0.666666667),
    (
        "2-2 010 1-- 021 110 010 00- -22 1-0 0-2 -20 -11 112 11- -1- 111 1-1 000 1-2 --1 010 000 --2 111 -11",
        0.42555675, 0.358303045, 0.364768683, 0.603174603,
    ),
    (
        ("0-0-3 12-20 -302- 310-- 11-11 --301 2-0-- 2--22 33303 2--23 03-00 44444 3030- --33- 02444 22232 3-3-3 43--4"
        " 11221 --333 211-3 --433 4420- 3033- --212 0-0-4 3--33 133-0 11111 -21--"),
        0.334483736, 0.307020739, 0.343561705, 0.463333333,
    ),
    (
        "2235 53-1 0-00 -50- --04 -5-5 3302 0-22 00-0 0140 111- 2220 4353 55-3 2221",
        0.311673604, 0.280498117, 0.282507184, 0.422222222,
    ),
]  # fmt: skip


@pytest.mark.parametrize(("text", "ac1", "fleiss", "alpha", "pairs"), BY_IRRCAC)
def test_random_tables_come_out_as_irrcac_has_them(
    text: str, ac1: float, fleiss: float, alpha: float, pairs: float
) -> None:
    """Two to five observers, two to six marks, with and without gaps."""
    found = figures(marks_of(rows_of(text)))
    assert value(found.ac1) == pytest.approx(ac1, abs=1e-8)
    assert value(found.fleiss) == pytest.approx(fleiss, abs=1e-8)
    assert value(found.percent_of_pairs) == pytest.approx(100 * pairs, abs=1e-6)
    assert value(found.alpha_nominal) == pytest.approx(alpha, abs=1e-8)


def random_rows(seed: int, observers: int, marks: int, gaps: float) -> Rows:
    chance = np.random.default_rng(seed)
    true = chance.integers(0, marks, size=(30, 1))
    table = np.where(chance.random((30, observers)) < 0.6, true, chance.integers(0, marks, size=(30, observers)))
    return [[None if chance.random() < gaps else int(mark) for mark in row] for row in table]


def by_krippendorff(rows: Rows, level: Literal["nominal", "ordinal"]) -> float:
    table: NDArray[np.float64] = np.array([[np.nan if mark is None else mark for mark in row] for row in rows]).T
    return float(krippendorff.alpha(reliability_data=table, level_of_measurement=level))


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize(("observers", "marks", "gaps"), [(2, 2, 0.0), (2, 4, 0.2), (3, 3, 0.0), (5, 6, 0.4)])
def test_random_tables_come_out_as_krippendorff_and_statsmodels_have_them(
    seed: int, observers: int, marks: int, gaps: float
) -> None:
    """Alpha nominal and ordinal with gaps; Cohen and Fleiss without."""
    rows = random_rows(seed, observers, marks, gaps)
    found = figures(marks_of(rows), samples=10)
    assert value(found.alpha_nominal) == pytest.approx(by_krippendorff(rows, "nominal"), abs=1e-10)
    assert value(found.alpha_ordinal) == pytest.approx(by_krippendorff(rows, "ordinal"), abs=1e-10)
    if gaps:
        return
    counts = [[Counter(row)[mark] for mark in range(marks)] for row in rows]
    assert value(found.fleiss) == pytest.approx(fleiss_kappa(np.array(counts)), abs=1e-10)
    if observers == 2:
        table = [[sum(row == [a, b] for row in rows) for b in range(marks)] for a in range(marks)]
        theirs, linear = cohens_kappa(np.array(table)), cohens_kappa(np.array(table), wt="linear")
        assert found.cohen is not None
        assert (found.cohen.value, found.cohen.low) == pytest.approx((theirs.kappa, theirs.kappa_low), abs=1e-10)
        assert value(found.cohen_weighted) == pytest.approx(linear.kappa, abs=1e-10)


@pytest.mark.parametrize(
    ("coefficient", "word"),
    [
        (-0.001, Band.POOR), (0, Band.SLIGHT), (0.2, Band.SLIGHT), (0.2 + 1e-12, Band.SLIGHT), (0.205, Band.FAIR),
        (0.21, Band.FAIR), (0.4, Band.FAIR), (0.41, Band.MODERATE), (0.6, Band.MODERATE), (0.61, Band.SUBSTANTIAL),
        (0.8, Band.SUBSTANTIAL), (0.81, Band.ALMOST_PERFECT), (1, Band.ALMOST_PERFECT), (None, None),
    ],
)  # fmt: skip
def test_the_words_of_landis_and_koch(coefficient: float | None, word: Band | None) -> None:
    """What lies between two of their bands belongs to the upper one."""
    assert band(coefficient) is word
