"""The reading level against the formula as it was published, and against its published example.

Coleman and Liau, "A computer readability formula designed for machine scoring", Journal of Applied Psychology 60(2),
283-284, 1975. The example is the abstract of that paper itself, graded in encyclopedias: 639 letters, 119 words and 5
sentences give 14.5 (from memory: check against the current original).
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.program.lint.reading_grade import reading_grade


def text_of(letters: int, words: int, sentences: int) -> str:
    """Return a text with so many letters, words and sentences, all about equally long."""
    lengths = [letters // words + (at < letters % words) for at in range(words)]
    ends = {round((one + 1) * words / sentences) - 1 for one in range(sentences)}
    return " ".join("a" * length + ("." if at in ends else "") for at, length in enumerate(lengths))


def published(letters: int, words: int, sentences: int) -> float:
    """Return 0.0588 L - 0.296 S - 15.8, with L and S for each hundred words."""
    return 0.0588 * letters / words * 100 - 0.296 * sentences / words * 100 - 15.8


def test_the_published_example_has_its_grade() -> None:
    """The abstract of the paper that gives the formula."""
    assert reading_grade(text_of(639, 119, 5)) == pytest.approx(14.5, abs=0.05)


@given(st.integers(100, 400), st.integers(1, 20), st.integers(2, 9), st.integers(0, 50))
def test_any_text_is_graded_by_the_published_formula(words: int, sentences: int, length: int, more: int) -> None:
    """The library computes it, and nothing is rounded on the way but its coefficients."""
    letters = words * length + more
    found = reading_grade(text_of(letters, words, sentences))
    assert found == pytest.approx(published(letters, words, sentences), abs=0.05)


def test_a_text_shorter_than_the_samples_of_the_formula_has_no_grade() -> None:
    """It was made for a hundred words."""
    assert reading_grade("word " * 99) is None
