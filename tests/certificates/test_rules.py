"""What is missing for a certificate, who may issue it, and what verification answers."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.certificates.rules import (
    CODE_LENGTH,
    MOST_UNKNOWN,
    SIGNS,
    WINDOW,
    Standing,
    answered,
    asks_too_often,
    clean_code,
    clean_number,
    eligibility,
    grouped,
    held_atoms,
    issue_faults,
    reissue_faults,
    standing,
)
from mentor_training.people.permissions import CONSOLE, Actor
from mentor_training.program.requirements import Atom, Hours, Item, Sessions, all_of, any_of
from tests.builders import NOON
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
    ("kept", "typed", "stands", "wanted"),
    [
        ("ABCD", "ab-cd", Standing.VALID, Standing.VALID),
        ("ABCD", "ABCD", Standing.WITHDRAWN, Standing.WITHDRAWN),
        ("ABCD", "ABCD", Standing.LAPSED, Standing.LAPSED),
        ("ABCD", "ABCE", Standing.VALID, Standing.UNKNOWN),
        ("ABCD", "ABCE", Standing.WITHDRAWN, Standing.UNKNOWN),
        ("ABCD", "", Standing.VALID, Standing.UNKNOWN),
        (None, "ABCD", Standing.VALID, Standing.UNKNOWN),
        (None, "-" * CODE_LENGTH, Standing.VALID, Standing.UNKNOWN),
        (None, "", Standing.WITHDRAWN, Standing.UNKNOWN),
    ],
)
def test_verification_tells_how_it_stands_only_to_whoever_has_its_code(
    kept: str | None, typed: str, stands: Standing, wanted: Standing
) -> None:
    """Whoever has no fitting code does not even learn that a certificate was withdrawn."""
    assert answered(kept, typed, stands) is wanted


@given(st.none() | st.dates(), st.booleans(), st.dates())
def test_a_certificate_lapses_after_its_last_day_and_withdrawn_goes_before(
    last_day: date | None, revoked: bool, on: date
) -> None:
    """The last day itself still counts; without one it never lapses."""
    stands = standing(last_day, revoked, on)
    assert (stands is Standing.WITHDRAWN) == revoked
    assert (stands is Standing.LAPSED) == (not revoked and last_day is not None and on > last_day)
    assert (stands is Standing.VALID) == (not revoked and (last_day is None or on <= last_day))


@pytest.mark.parametrize(
    "typed", ["C-2026-0001", " c 2026 0001 ", "C20260001", "c\u20132026\u20130001", "C-2O26-OOOI", "C.2026.0001"]
)
def test_a_printed_number_can_be_typed_in_as_people_type(typed: str) -> None:
    """Blanks, dashes of any kind, small letters, O for zero and I for one."""
    assert clean_number(typed) == "C-2026-0001"


@given(st.text(max_size=200))
def test_what_cannot_be_a_number_stays_short_and_breaks_nothing(typed: str) -> None:
    """A number that is typed twice is the same number."""
    assert len(clean_number(typed)) <= 240
    assert clean_number(clean_number(typed)) == clean_number(typed) or not typed.strip()


@given(st.integers(0, 40), st.integers(0, 40))
def test_only_unknown_answers_of_late_make_a_client_wait(late: int, old: int) -> None:
    """Twenty within fifteen minutes; what is older does not count."""
    moments = [NOON] * late + [NOON - WINDOW] * old
    assert asks_too_often(moments, NOON) == (late >= MOST_UNKNOWN)


def test_what_is_reissued_must_hold_on_its_day_and_not_have_lapsed() -> None:
    """Each reason says what to do instead."""
    assert reissue_faults("C-2026-0001", Standing.VALID, ()) == ()
    assert reissue_faults("C-2026-0001", Standing.LAPSED, ("Guarding (skill)",)) == (
        "Missing on its day, by what is known now: Guarding (skill). Revoke it instead.",
        "C-2026-0001 has lapsed; issue a new one for today instead.",
    )
