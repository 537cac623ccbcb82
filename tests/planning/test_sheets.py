"""How people are called in short, and what stands open, on paper and walls."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from mentor_training.planning.gaps import ALL_ELSEWHERE, NOBODY_CLEARED, Gap
from mentor_training.planning.sheets import IN_SHORT, open_for, short_names, size_of

NAMES = st.lists(st.sampled_from(["Ada", "Ada Lind", "Ada Love", "Bo", "Bo Berg", "Bo van Berg", "  ", "Ann-Sophie R"]))


def named(names: list[str]) -> dict[str, str]:
    """Give each name a code."""
    return {f"v-{place:03}": name for place, name in enumerate(names)}


def test_a_first_name_is_enough_where_nobody_shares_it() -> None:
    """The surname stays away."""
    assert short_names({"v-1": "Odalys Brannagh", "v-2": "Bo Berg"}) == {"v-1": "Odalys", "v-2": "Bo"}


def test_who_shares_a_first_name_is_told_apart_by_an_initial_and_else_by_the_code() -> None:
    """Only those who share it."""
    called = short_names(
        {"v-1": "Ada Lind", "v-2": "Ada Love", "v-3": "Ada Berg", "v-4": "Bo", "p-1": "Cy", "p-2": "Cy"}
    )
    assert called == {
        "v-1": "Ada L. v-1", "v-2": "Ada L. v-2", "v-3": "Ada B.", "v-4": "Bo", "p-1": "Cy p-1", "p-2": "Cy p-2",
    }  # fmt: skip


@given(NAMES)
def test_no_two_are_called_alike_and_no_surname_is_written_whole(names: list[str]) -> None:
    """Whoever reads a wall or a sheet can tell everybody apart."""
    called = short_names(named(names))
    assert len(set(called.values())) == len(names)
    for code, name in named(names).items():
        words = name.split()
        assert len(words) < 2 or words[-1] not in called[code].split()


def gap(participant: str, block: int, cause: str) -> Gap:
    """Return a gap of this cause."""
    return Gap(block, participant, None, 0, 1, cause, "long words")


def test_gaps_stand_together_by_reason_and_blocks() -> None:
    """Most blocks first; the long words, which may tell of needs, are not on paper."""
    gaps = [
        gap("p-1", 1, NOBODY_CLEARED), gap("p-2", 1, NOBODY_CLEARED), gap("p-1", 2, NOBODY_CLEARED),
        gap("p-2", 2, NOBODY_CLEARED), gap("p-3", 2, ALL_ELSEWHERE),
    ]  # fmt: skip
    found = open_for(gaps, lambda code: f"Name {code}")
    assert [(one.because, one.blocks, one.participants) for one in found] == [
        ("nobody who is cleared", (1, 2), ("Name p-1", "Name p-2")),
        ("who is cleared is placed elsewhere", (2,), ("Name p-3",)),
    ]


@given(st.lists(st.tuples(st.integers(1, 4), st.integers(1, 5), st.sampled_from(sorted(IN_SHORT))), unique=True))
def test_every_gap_is_told_exactly_once(drawn: list[tuple[int, int, str]]) -> None:
    """As many participant-blocks stand on paper as are open."""
    found = open_for([gap(f"p-{who}", block, cause) for block, who, cause in drawn], str)
    told = [(block, who, one.because) for one in found for who in one.participants for block in one.blocks]
    assert sorted(told) == sorted((block, f"p-{who}", IN_SHORT[cause]) for block, who, cause in drawn)


def test_letters_become_smaller_with_more_lines_and_a_row_counts_at_least_one() -> None:
    """From a floor that is empty to one of sixty participants."""
    assert [size_of([0] * 10), size_of([3] * 6), size_of([4] * 6)] == ["large", "middle", "small"]
