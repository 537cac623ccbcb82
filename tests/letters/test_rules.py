"""What a letter of hours says: sums by term and category, and the statements it may rest on."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.calendar.terms import TermFact
from mentor_training.journal.chain import canonical
from mentor_training.letters.rules import (
    OUTSIDE,
    HoursLetter,
    OnStatement,
    Stated,
    clean_letter_number,
    letter_content,
    letter_faults,
    letter_in,
    term_sums,
)
from tests.builders import FRIDAY, NOON

FALL = TermFact("fall", "Fall 2026", date(2026, 9, 1), date(2026, 12, 18))
SPRING = TermFact("spring", "Spring 2026", date(2026, 1, 12), date(2026, 5, 8))
ROW = OnStatement(
    "ST-2026-0001", "KIN-372-A", "KIN-372", FRIDAY, NOON, "As they were.", "0" * 64, "Odalys", 97, Decimal("1.50")
)

entries = st.lists(
    st.builds(
        Stated,
        statement=st.just("ST-2026-0001"),
        day=st.dates(date(2025, 12, 1), date(2027, 1, 31)),
        category=st.sampled_from(["direct", "training", "preparation", "orientation"]),
        minutes=st.integers(-120, 240),
    )
)


def test_terms_stand_in_the_order_of_their_days_and_what_lies_in_none_last() -> None:
    """An entry is in the term of its own day; categories keep their usual order."""
    found = term_sums(
        [
            Stated("ST-2026-0002", date(2026, 7, 4), "direct", 30),
            Stated("ST-2026-0002", date(2026, 9, 1), "direct", 97),
            Stated("ST-2026-0002", date(2026, 12, 18), "direct", -7),
            Stated("ST-2026-0001", date(2026, 2, 2), "preparation", 20),
            Stated("ST-2026-0001", date(2026, 2, 3), "training", 40),
        ],
        (FALL, SPRING),
    )
    assert [(one.term, one.category, one.entries, one.minutes) for one in found] == [
        ("Spring 2026", "training", 1, 40),
        ("Spring 2026", "preparation", 1, 20),
        ("Fall 2026", "direct", 2, 90),
        (OUTSIDE, "direct", 1, 30),
    ]
    assert found[2].hours == Decimal("1.50")


@given(entries)
def test_no_minute_is_lost_or_counted_twice(given_entries: list[Stated]) -> None:
    """Whatever the terms, the sums add up to the entries."""
    for terms in ((), (FALL,), (FALL, SPRING)):
        found = term_sums(given_entries, terms)
        assert sum(one.minutes for one in found) == sum(one.minutes for one in given_entries)
        assert sum(one.entries for one in found) == len(given_entries)
        assert len({(one.term, one.category) for one in found}) == len(found)


def test_a_statement_that_proves_itself_no_more_carries_no_letter() -> None:
    """Its text was changed, or its entries were; a statement that fits has no fault."""
    entry = Stated("ST-2026-0001", FRIDAY - timedelta(days=3), "direct", 97)
    assert letter_faults([entry], [ROW]) == ()
    assert letter_faults([entry], [replace(ROW, fits=False)]) == (
        "Statement ST-2026-0001 is not what it was when it was frozen: its SHA-256 does not fit.",
    )
    assert letter_faults([replace(entry, minutes=96)], [ROW]) == (
        "Statement ST-2026-0001 says 97 minutes, and its entries are 96.",
    )


@given(found=entries, stated=st.decimals(0, 500, places=2), name=st.text(max_size=20))
def test_a_letter_is_read_back_from_what_was_frozen_as_it_was(found: list[Stated], stated: Decimal, name: str) -> None:
    """By way of the canonical text that its hash is of (RFC 8785); the same letter gives the same text."""
    letter = HoursLetter("v-001", name, FRIDAY, FRIDAY, term_sums(found, [FALL]), (replace(ROW, stated=stated),))
    text = canonical(letter_content(letter, "Small program", FRIDAY))
    assert letter_in(json.loads(text)) == letter
    assert canonical(letter_content(letter_in(json.loads(text)), "Small program", FRIDAY)) == text


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("L-2026-0001", "L-2026-0001"),
        (" l 2026 0001 ", "L-2026-0001"),
        ("L-2O26-OOl1", "L-2026-0011"),
        ("C-2026-0001", ""),
        ("L-2026", ""),
        ("", ""),
        ("v-001", ""),
    ],
)
def test_a_number_is_read_however_it_is_typed(typed: str, kept: str) -> None:
    """Blanks, hyphens and capitals do not matter; what is no letter's number is none."""
    assert clean_letter_number(typed) == kept
