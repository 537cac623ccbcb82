"""How far observers agree: what must hold for any table of marks."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mentor_training.observing.agreement import wording
from mentor_training.observing.agreement.figures import Figure, Figures, by_mark, figures
from mentor_training.observing.agreement.key import against_key
from mentor_training.observing.agreement.leniency import leniency
from mentor_training.observing.agreement.marks import Marks, Unit, of_rows, side_by_side
from mentor_training.observing.rules.results import Marking
from tests.observing.marking import Rows, marks_of, rows_of, rows_of_table

NOMINAL = ("percent", "percent_of_pairs", "cohen", "fleiss", "alpha_nominal", "ac1")
ALL = tuple(wording.NAMES)
KAPPAS = tuple(name for name in ALL if name not in wording.PERCENTAGES)


@st.composite
def tables(draw: st.DrawFn, gaps: bool = True, least: int = 2) -> Rows:
    observers, mark = draw(st.integers(least, 4)), st.integers(0, 3)
    cell = st.one_of(st.none(), mark) if gaps else mark
    return draw(st.lists(st.lists(cell, min_size=observers, max_size=observers), min_size=1, max_size=12))


def found_for(rows: Rows) -> Figures:
    return figures(marks_of(rows), samples=20)


def values(found: Figures, names: tuple[str, ...]) -> dict[str, object]:
    figure: dict[str, Figure | None] = {name: getattr(found, name) for name in names}
    return {name: None if one is None else pytest.approx(one.value, abs=1e-9) for name, one in figure.items()}


def plain(found: Figures, names: tuple[str, ...]) -> dict[str, float | None]:
    return {name: None if (one := getattr(found, name)) is None else one.value for name in names}


@given(tables(), st.permutations(range(4)))
def test_other_names_for_the_marks_change_no_nominal_coefficient(rows: Rows, names: list[int]) -> None:
    """What a mark is called says nothing."""
    renamed = [[None if mark is None else names[mark] for mark in row] for row in rows]
    assert plain(found_for(renamed), NOMINAL) == values(found_for(rows), NOMINAL)


@given(tables())
def test_marks_counted_from_the_other_end_change_nothing(rows: Rows) -> None:
    """Ordinal alpha knows which mark lies between which, not which is the better."""
    turned = [[None if mark is None else 3 - mark for mark in row] for row in rows]
    assert plain(found_for(turned), ALL) == values(found_for(rows), ALL)


@given(tables(), st.randoms(use_true_random=False))
def test_the_order_of_observers_and_of_performances_changes_nothing(rows: Rows, chance: object) -> None:
    """Nobody is the first."""
    shuffled, places = list(rows), list(range(len(rows[0])))
    chance.shuffle(shuffled)  # type: ignore[attr-defined]
    chance.shuffle(places)  # type: ignore[attr-defined]
    assert plain(found_for([[row[place] for place in places] for row in shuffled]), ALL) == values(found_for(rows), ALL)


@given(st.lists(st.integers(0, 3), min_size=1, max_size=12), st.integers(2, 4))
def test_perfect_agreement_is_one_over_two_marks_and_not_defined_over_one(marks: list[int], observers: int) -> None:
    """All observers say the same of every performance."""
    found = found_for([[mark] * observers for mark in marks])
    assert plain(found, wording.PERCENTAGES) == {"percent": 100, "percent_of_pairs": 100}
    names = KAPPAS if observers == 2 else tuple(name for name in KAPPAS if name not in wording.ONLY_OF_TWO)
    expected = 1 if len(set(marks)) > 1 else None
    assert plain(found, names) == dict.fromkeys(names, expected)


@given(tables())
def test_every_coefficient_lies_where_it_can(rows: Rows) -> None:
    """No coefficient is above 1, no percentage outside 0 to 100, and no interval is turned over."""
    found = found_for(rows)
    for name in ALL:
        figure = getattr(found, name)
        if figure is not None:
            assert figure.value <= (100 if name in wording.PERCENTAGES else 1) + 1e-9
            assert name not in wording.PERCENTAGES or figure.value >= 0
            assert (figure.low is None) == (figure.high is None)
            assert figure.low is None or figure.low <= figure.high


@given(tables(gaps=False))
def test_without_gaps_alpha_is_fleiss_kappa_with_a_small_sample_correction(rows: Rows) -> None:
    """1 - alpha = (1 - kappa) * (n - 1) / n, n the number of marks: what both definitions come to."""
    found, number = found_for(rows), len(rows) * len(rows[0])
    assert (found.fleiss is None) == (found.alpha_nominal is None)
    if found.fleiss and found.alpha_nominal:
        corrected = (1 - found.fleiss.value) * (number - 1) / number
        assert 1 - found.alpha_nominal.value == pytest.approx(corrected, abs=1e-9)


@given(tables(gaps=False))
def test_a_performance_marked_by_one_changes_no_alpha_and_no_percentage(rows: Rows) -> None:
    """It can be compared with nothing."""
    alone = [*rows, [2] + [None] * (len(rows[0]) - 1)]
    names = ("percent", "percent_of_pairs", "cohen", "alpha_nominal", "alpha_ordinal")
    assert plain(found_for(alone), names) == values(found_for(rows), names)


@given(tables(), st.integers(0, 5))
@settings(max_examples=30)
def test_the_same_seed_gives_the_same_intervals(rows: Rows, seed: int) -> None:
    """To the last digit."""
    assert figures(marks_of(rows), seed, 50) == figures(marks_of(rows), seed, 50)


def test_another_seed_draws_other_samples() -> None:
    """And the record of it says which."""
    marks = marks_of(rows_of("01 00 11 12 22 02 11 00"))
    one, other = figures(marks, 1), figures(marks, 2)
    assert (one.seed, other.seed, one.samples) == (1, 2, 2000)
    assert one.ac1 != other.ac1


def test_criteria_of_one_performance_are_drawn_together() -> None:
    """Marks that repeat within a performance make nothing surer; as performances of their own they would."""
    rows = [row for row in rows_of("00 01 11 11 10 00 00 11") for _ in range(5)]
    units = tuple(Unit(f"{place // 5:02}", str(place % 5)) for place in range(40))
    together, apart = figures(replace(marks_of(rows), units=units)), figures(marks_of(rows))
    assert together.ac1 is not None
    assert apart.ac1 is not None
    assert together.ac1.value == apart.ac1.value
    assert together.performances == 8
    assert width(together.ac1) > 1.5 * width(apart.ac1)
    # The published standard error would take the criteria for performances.
    assert (together.cohen and together.cohen.how) == "bootstrap"


def width(figure: Figure) -> float:
    assert figure.low is not None
    assert figure.high is not None
    return figure.high - figure.low


@pytest.mark.parametrize(
    "rows", [[], [[None, None]], [[0, None], [None, 1]], [[0]]], ids=["nothing", "no", "apart", "one"]
)
def test_nothing_to_compare_is_not_defined(rows: Rows) -> None:
    """Not even a percentage."""
    found = found_for(rows)
    assert plain(found, ALL) == dict.fromkeys(ALL)
    assert found.paired == 0


def test_one_performance_has_a_value_and_no_interval() -> None:
    """There is nothing to draw from."""
    found = figures(replace(marks_of(rows_of("00 11 01")), units=tuple(Unit("a", name) for name in "123")))
    assert found.ac1 is not None
    assert (found.ac1.low, found.ac1.high) == (None, None)
    assert "takes two performances" in said(marks_of(rows_of("01")))


def said(marks: Marks) -> str:
    return "\n".join(part for part in wording.parts(marks, figures(marks), None) if isinstance(part, str))


def test_high_agreement_with_a_low_kappa_is_explained() -> None:
    """The paradox table; not the balanced one of the same agreement."""
    paradox = said(marks_of(rows_of_table([[80, 10], [5, 5]])))
    assert "High agreement and a low kappa: 85.0 percent of pairs agree, but 88% of all marks are 0" in paradox
    assert "AC1, which this moves less, is 0.808." in paradox
    assert "low kappa" not in said(marks_of(rows_of_table([[40, 9], [6, 45]])))


def test_one_mark_only_is_said_in_words() -> None:
    """And so is the interval of no width around 100 percent."""
    words = said(marks_of(rows_of("00 00 00")))
    assert "All marks that can be compared are one and the same." in words
    assert "An interval of no width" in words


def test_the_mark_on_which_observers_differ_stands_out() -> None:
    """They agree on 0, and mix up 1 and 2."""
    zero, one, two = by_mark(marks_of(rows_of("00 00 00 12 21 11 22 12")))
    assert zero == 1
    assert one == two
    assert (one or 0) < 0.3


DONE, NOT_DONE, STOPPED = Marking.DONE, Marking.NOT_DONE, Marking.STOPPED


def staged() -> Marks:
    """Give the key and two observers on two performances of two criteria."""
    given_marks = {
        "key": {"a1": DONE, "a2": NOT_DONE, "b1": NOT_DONE, "b2": STOPPED},
        "i-01": {"a1": DONE, "a2": DONE, "b1": DONE, "b2": Marking.HELPED},
        "i-02": {"a1": Marking.ANOTHER_WAY, "a2": NOT_DONE},
    }
    return side_by_side(
        {(observer, Unit(*unit)): mark for observer, own in given_marks.items() for unit, mark in own.items()}
    )


def test_critical_acts_are_missed_where_marked_as_done_or_not_at_all() -> None:
    """Criterion 2 is critical; what was seen but marked otherwise differs from the key, and is not missed."""
    first, second = against_key(staged(), "key", ["2"])
    assert (first.observer, first.units, first.same, first.critical) == ("i-01", 4, 1, 2)
    assert first.missed == (Unit("a", "2"),)
    assert first.percent == 25
    assert second.missed == (Unit("b", "2"),)
    assert second.percent == 50


def test_without_a_common_unit_there_is_no_percentage_of_the_key() -> None:
    """Neither 0 nor 100."""
    marks = side_by_side({("key", Unit("a", "1")): DONE, ("i-01", Unit("b", "1")): DONE})
    (one,) = against_key(marks, "key", [])
    assert (one.units, one.percent, one.critical) == (0, None, 0)


def test_numbers_of_a_critical_criterion_are_missed_where_they_differ() -> None:
    """A number does not say whether it stands for done."""
    marks = of_rows([[0, 0], [1, 0]], 2)
    (one,) = against_key(marks, "0", ["1"])
    assert [unit.performance for unit in one.missed] == ["1"]


def test_leniency_compares_an_observer_with_others_on_the_same_marks() -> None:
    """i-02 saw one performance only, and is held to what others marked in that one."""
    found = {one.observer: one for one in leniency(staged())}
    assert (found["i-01"].marks, found["i-01"].done, found["i-01"].share) == (4, 3, Fraction(3, 4))
    assert (found["i-02"].marks, found["i-02"].done) == (2, 1)
    assert (found["i-02"].others_marks, found["i-02"].others_done) == (4, 3)
    by_criterion = {(one.observer, one.criterion): one.share for one in leniency(staged(), by_criterion=True)}
    assert by_criterion["i-01", "1"] == 1
    assert by_criterion["i-01", "2"] == 0.5


def test_nobody_beside_leaves_no_share_of_others() -> None:
    """Nothing is compared with nothing."""
    (one,) = leniency(side_by_side({("i-01", Unit("a", "1")): DONE}))
    assert one.share == 1
    assert one.others_share is None
