"""What is missing for a certificate, who may issue it, and what verification answers."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.certificates.rules import (
    CODE_LENGTH,
    SIGNS,
    Standing,
    clean_code,
    eligibility,
    grouped,
    held_atoms,
    issue_faults,
    standing,
)
from mentor_training.people.permissions import CONSOLE, Actor
from mentor_training.program.requirements import Atom, Hours, Item, Sessions, all_of, any_of
from tests.certificates.holders import INSTRUCTOR

SAFETY, GUARDING, GUIDING = Item("module/safety"), Item("skill/guarding"), Item("skill/guiding")
WANTED = all_of(SAFETY, any_of(GUARDING, GUIDING), Hours("direct", 10), Sessions(3))


def missing(minutes: int, *held: Atom) -> tuple[str, ...]:
    return eligibility(
        WANTED,
        lambda atom: atom in held or (isinstance(atom, Hours) and minutes >= 600),
        lambda _category: minutes,
        lambda item: item.partition("/")[2].capitalize(),
    )


def test_nothing_is_missing_once_the_requirement_holds() -> None:
    """One of two skills is enough."""
    assert missing(600, SAFETY, GUIDING, Sessions(3)) == ()


def test_what_is_missing_is_said_in_words_and_hours_to_the_minute() -> None:
    """The smallest set: of two skills that would do, the one that stands first."""
    assert missing(599, SAFETY) == (
        "Guarding (skill)",
        "10 h direct, approved: 1 min still to come",
        "3 sessions attended before the day",
    )


def test_a_certificate_rests_on_everything_in_its_requirement_that_holds() -> None:
    """In the order of the file, what is not held left out."""
    assert held_atoms(WANTED, {SAFETY, GUIDING}.__contains__) == (SAFETY, GUIDING)


@pytest.mark.parametrize(
    ("by", "person", "sections", "said"),
    [
        (INSTRUCTOR, "v-001", ("KIN-372-A",), ""),
        (CONSOLE, "v-001", ("KIN-372-A",), ""),
        (CONSOLE, "v-040", (), ""),
        (INSTRUCTOR, "v-020", ("KIN-372-B",), "in none of your sections"),
        (INSTRUCTOR, "v-040", (), "in none of your sections"),
        (Actor("o-01", "Sunniva", frozenset({"observer"}), ("KIN-372-A",)), "v-001", ("KIN-372-A",), "in none of your"),
        (Actor("c-01", "Wilhelmina", frozenset({"coordinator", "volunteer"})), "c-01", (), "to themselves"),
    ],
)
def test_who_may_issue(by: Actor, person: str, sections: tuple[str, ...], said: str) -> None:
    """The section's instructor, or the coordinator, and nobody to themselves."""
    faults = issue_faults(by, person, sections, (), "")
    assert said in " ".join(faults)
    assert bool(said) is bool(faults)


def test_a_second_one_of_the_same_kind_is_refused_while_one_is_valid() -> None:
    """The refusal names it, besides everything that is missing."""
    assert issue_faults(INSTRUCTOR, "v-001", ("KIN-372-A",), ("Guarding (skill)",), "C-2026-0001") == (
        "Missing: Guarding (skill).",
        "C-2026-0001 of the same kind is valid already; revoke it first if it is wrong.",
    )


def test_a_code_carries_at_least_64_bits_and_no_sign_that_looks_like_another() -> None:
    """Sixteen signs out of 32 are 80 bits; 0 and O, 1 and I are not among them."""
    assert len(set(SIGNS)) ** CODE_LENGTH >= 2**64
    assert not set("01IO") & set(SIGNS)


@given(st.text(SIGNS, min_size=CODE_LENGTH, max_size=CODE_LENGTH))
def test_a_code_can_be_typed_in_groups_or_small_letters(code: str) -> None:
    """Hyphens, blanks and case do not matter."""
    assert clean_code(grouped(code)) == clean_code(f" {grouped(code).lower().replace('-', ' ')} ") == code


@pytest.mark.parametrize(
    ("kept", "typed", "revoked", "wanted"),
    [
        ("ABCD", "ab-cd", False, Standing.VALID),
        ("ABCD", "ABCD", True, Standing.REVOKED),
        ("ABCD", "ABCE", False, Standing.UNKNOWN),
        ("ABCD", "ABCE", True, Standing.UNKNOWN),
        ("ABCD", "", False, Standing.UNKNOWN),
        (None, "ABCD", False, Standing.UNKNOWN),
        (None, "-" * CODE_LENGTH, False, Standing.UNKNOWN),
        (None, "", True, Standing.UNKNOWN),
    ],
)
def test_verification_says_valid_revoked_or_unknown(
    kept: str | None, typed: str, revoked: bool, wanted: Standing
) -> None:
    """Whoever has no fitting code does not even learn that a certificate was revoked."""
    assert standing(kept, typed, revoked) is wanted
