"""What is said of an observation that stood on paper first, and from which day on it still counts."""

from __future__ import annotations

from datetime import date

import pytest

from mentor_training.observing.pdf import Tag, observe_address, sheet_address
from mentor_training.observing.rules.sheets import first_day_that_counts, remark_from_paper
from mentor_training.program.catalog import Policy


@pytest.mark.parametrize(
    ("remark", "at", "stored"),
    [
        ("", "", "From paper."),
        ("", "10:20", "From paper, written at 10:20."),
        (" Calm today. ", "", "From paper. Calm today."),
        ("Calm today.", "9:05", "From paper, written at 9:05. Calm today."),
    ],
)
def test_a_remark_from_paper_says_so_first(remark: str, at: str, stored: str) -> None:
    """With the time that stood on the sheet, where one did."""
    assert remark_from_paper(remark, at) == stored


def test_the_first_day_that_counts_is_the_last_that_is_not_late() -> None:
    """Seven days after its day an observation still counts, eight days after it no longer does."""
    assert first_day_that_counts(date(2026, 10, 16), Policy()) == date(2026, 10, 9)
    assert first_day_that_counts(date(2026, 10, 16), Policy(late_after_days=0)) == date(2026, 10, 16)


def test_addresses_on_paper_are_whole_and_safe() -> None:
    """They are typed and scanned away from the program, so that they carry its public address."""
    assert observe_address("https://a.example", "v-001") == "https://a.example/observe/v-001"
    assert observe_address("https://a.example", "ł/1") == "https://a.example/observe/%C5%82/1"
    assert sheet_address("https://a.example", "guarding") == "https://a.example/sheets/guarding"


@pytest.mark.parametrize(
    ("name", "size"),
    [
        ("Bo Li", "large"),
        ("Ann-Sophie de la Croix", "large"),
        ("Maria-Magdalena Konstantinopolou", "middle"),
        ("Christopherson Llanfairpwllgwyngyll", "tight"),
        ("A Name That Goes On And On Over Many Short Words To Its End", "tight"),
    ],
)
def test_a_name_is_set_as_large_as_its_tag_allows(name: str, size: str) -> None:
    """It is called across a hall, and it stays within the tag."""
    assert Tag(name, "v-001", "x").size == size
