"""Who may observe and sign off whom, and what an observer was on a day."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.observing.rules.standing import (
    CALIBRATED,
    ENTITLED,
    Between,
    StandingFact,
    objections_to_observing,
    objections_to_sign_off,
    stands,
)

DAY = date(2026, 10, 16)

# kind | skill | first | last: entries in the order of entry; then the answers for the days asked.
ENTRIES = """
calibrated     | *        | 2026-09-01 | 2026-12-31
entitled       | guarding | 2026-09-01 |
entitled       | *        | 2026-10-01 | 2026-10-10
not-entitled   | guarding | 2026-10-20 |
entitled       | guarding | 2026-11-01 |
not-calibrated | *        | 2026-12-01 |
"""


def entries(text: str) -> list[StandingFact]:
    """Read entries written as a table."""
    facts = []
    for number, line in enumerate((line for line in text.splitlines() if line.strip()), 1):
        kind, skill, first, last = (cell.strip() for cell in line.split("|"))
        end = date.fromisoformat(last) if last else None
        facts.append(StandingFact(number, kind, skill, date.fromisoformat(first), end))
    return facts


@pytest.mark.parametrize(
    ("kind", "skill", "day", "answer"),
    [
        (CALIBRATED, "guarding", "2026-08-31", False),
        (CALIBRATED, "guarding", "2026-09-01", True),
        (CALIBRATED, "leading", "2026-11-30", True),
        (CALIBRATED, "leading", "2026-12-01", False),
        (ENTITLED, "guarding", "2026-09-30", True),
        (ENTITLED, "leading", "2026-09-30", False),
        (ENTITLED, "leading", "2026-10-10", True),
        (ENTITLED, "leading", "2026-10-11", False),
        (ENTITLED, "guarding", "2026-10-19", True),
        (ENTITLED, "guarding", "2026-10-20", False),
        (ENTITLED, "guarding", "2026-10-31", False),
        (ENTITLED, "guarding", "2026-11-01", True),
    ],
)
def test_what_an_observer_is_on_a_day_follows_from_the_entries(kind: str, skill: str, day: str, answer: bool) -> None:
    """Entries add up; an end cuts what was entered before it; what is entered after it stands for itself."""
    assert stands(entries(ENTRIES), kind, skill, date.fromisoformat(day)) is answer


def test_an_end_for_one_skill_cuts_an_entitlement_for_all_there_only() -> None:
    """Entitled to everything, but no longer to this one."""
    facts = entries("entitled | * | 2026-09-01 |\nnot-entitled | guarding | 2026-10-01 |")
    assert not stands(facts, ENTITLED, "guarding", DAY)
    assert stands(facts, ENTITLED, "leading", DAY)


@given(st.lists(st.tuples(st.booleans(), st.integers(0, 30)), max_size=8))
def test_nobody_is_entitled_after_an_end_that_was_entered_last(steps: list[tuple[bool, int]]) -> None:
    """Whatever was entered before."""
    facts = [
        StandingFact(number, "entitled" if gives else "not-entitled", "*", DAY - timedelta(days=ago))
        for number, (gives, ago) in enumerate(steps)
    ]
    facts.append(StandingFact(99, "not-entitled", "*", DAY))
    assert not stands(facts, ENTITLED, "guarding", DAY)


@pytest.mark.parametrize(
    ("between", "word"),
    [
        (Between("o-01", "o-01"), "themselves"),
        (Between("o-01", "v-001", partners=("v-001",)), "paired with each other"),
        (Between("o-01", "v-001", conflicts=("v-002", "v-001")), "conflict list"),
    ],
)
def test_nobody_sees_themselves_their_pairing_or_a_conflict(between: Between, word: str) -> None:
    """Observing and signing off alike."""
    assert [word in reason for reason in objections_to_observing(between)] == [True]
    assert any(word in reason for reason in objections_to_sign_off(between, entitled=True))


def test_only_who_is_entitled_signs_off() -> None:
    """Observation is not sign-off."""
    free = Between("o-01", "v-001", conflicts=("v-002",), partners=("v-003",))
    assert objections_to_observing(free) == ()
    assert objections_to_sign_off(free, entitled=True) == ()
    assert len(objections_to_sign_off(free, entitled=False)) == 1
