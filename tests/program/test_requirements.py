"""The requirement language, held against counting through every possibility."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.program.requirements import (
    ALWAYS,
    AtLeast,
    Atom,
    Hours,
    Item,
    Requirement,
    Sessions,
    all_of,
    any_of,
    as_json,
    atoms_of,
    covers,
    is_met,
    smallest_missing,
)

ITEMS = [Item(f"skill/s{number}") for number in range(5)]
ATOMS: list[Atom] = [*ITEMS, Hours("direct", 5), Hours("direct", 10), Hours("training", 10), Sessions(2), Sessions(4)]
A, B, C, D, E = ITEMS


def groups(parts: st.SearchStrategy[Requirement]) -> st.SearchStrategy[Requirement]:
    """Draw so many of some parts; a group asks for at most as many as it has."""
    some = st.lists(parts, min_size=1, max_size=3).map(tuple)
    return some.flatmap(lambda of: st.integers(0, len(of)).map(lambda count: AtLeast(count, of)))


REQUIREMENTS: st.SearchStrategy[Requirement] = st.recursive(st.sampled_from(ATOMS), groups, max_leaves=7)
HOLDINGS = st.sets(st.sampled_from(ATOMS))


def plainly_met(requirement: Requirement, have: frozenset[Atom]) -> bool:
    """Decide by the words of the language alone: an atom is there, or so many parts are met."""
    if isinstance(requirement, AtLeast):
        return sum(plainly_met(part, have) for part in requirement.of) >= requirement.count
    return requirement in have


def with_all_it_covers(chosen: tuple[Atom, ...], have: set[Atom]) -> frozenset[Atom]:
    """Return what is held after getting the chosen atoms: more hours or sessions are fewer of them too."""
    gained = set(chosen)
    for atom in ATOMS:
        for one in chosen:
            same = isinstance(atom, Hours) and isinstance(one, Hours) and atom.category == one.category
            if same and isinstance(atom, Hours) and isinstance(one, Hours) and one.at_least >= atom.at_least:
                gained.add(atom)
            if isinstance(atom, Sessions) and isinstance(one, Sessions) and one.at_least >= atom.at_least:
                gained.add(atom)
    return frozenset(gained | have)


def by_counting(requirement: Requirement, have: set[Atom]) -> tuple[Atom, ...]:
    """Try every set of missing atoms: the smallest first, of equal ones those that stand earlier first."""
    missing = [atom for atom in atoms_of(requirement) if atom not in have]
    for size in range(len(missing) + 1):
        for chosen in combinations(missing, size):
            if plainly_met(requirement, with_all_it_covers(chosen, have)):
                return chosen
    raise AssertionError("a requirement that nothing can meet")


@given(REQUIREMENTS, HOLDINGS)
def test_a_requirement_is_met_as_its_words_say(requirement: Requirement, have: set[Atom]) -> None:
    """So many of these, at any depth."""
    assert is_met(requirement, have.__contains__) == plainly_met(requirement, frozenset(have))


@given(REQUIREMENTS, HOLDINGS, HOLDINGS)
def test_holding_more_never_unmeets(requirement: Requirement, have: set[Atom], more: set[Atom]) -> None:
    """Everything about clearance rests on this."""
    if is_met(requirement, have.__contains__):
        assert is_met(requirement, (have | more).__contains__)


@given(REQUIREMENTS, HOLDINGS)
def test_what_is_missing_is_the_smallest_set_that_would_do(requirement: Requirement, have: set[Atom]) -> None:
    """Of equal sets it is the one whose atoms stand earlier, compared atom by atom."""
    assert smallest_missing(requirement, have.__contains__) == by_counting(requirement, have)


@given(REQUIREMENTS, HOLDINGS)
def test_getting_what_is_missing_meets_it_and_nothing_of_it_is_idle(requirement: Requirement, have: set[Atom]) -> None:
    """The set does, and no smaller part of it would."""
    missing = smallest_missing(requirement, have.__contains__)
    assert plainly_met(requirement, with_all_it_covers(missing, have))
    for without in combinations(missing, len(missing) - 1) if missing else ():
        assert not plainly_met(requirement, with_all_it_covers(without, have))


@pytest.mark.parametrize(
    ("requirement", "have", "missing"),
    [
        (all_of(A, B), {A}, (B,)),
        (any_of(A, B), set(), (A,)),
        (any_of(all_of(A, B), C), set(), (C,)),
        (all_of(any_of(A, B), any_of(B, C)), set(), (B,)),
        (AtLeast(2, (A, B, C)), set(), (A, B)),
        (AtLeast(2, (A, B, C)), {A}, (B,)),
        (AtLeast(2, (all_of(A, D), B, C)), set(), (B, C)),
        (any_of(all_of(C, D), all_of(A, B)), set(), (C, D)),
        (all_of(any_of(A, B), any_of(C, D), E), {C}, (A, E)),
        (all_of(Hours("direct", 5), A, Hours("direct", 10)), set(), (A, Hours("direct", 10))),
        (all_of(Sessions(2), Sessions(4)), {Sessions(2)}, (Sessions(4),)),
        (ALWAYS, set(), ()),
    ],
)
def test_what_is_missing_in_small_cases(requirement: Requirement, have: set[Atom], missing: tuple[Atom, ...]) -> None:
    """An atom wanted twice counts once, and ten hours are also five."""
    assert smallest_missing(requirement, have.__contains__) == missing


def test_hours_cover_fewer_hours_of_the_same_category_only() -> None:
    """Ten direct hours are five direct hours, and no training hours."""
    assert covers([Hours("direct", 10)], Hours("direct", 5))
    assert covers([Hours("direct", 10)], Hours("direct", 10))
    assert not covers([Hours("direct", 5)], Hours("direct", 10))
    assert not covers([Hours("direct", 10)], Hours("training", 5))
    assert covers([Sessions(4)], Sessions(2))
    assert not covers([Sessions(4), Hours("direct", 10)], A)


def test_one_part_alone_is_that_part() -> None:
    """`all` of one thing is the thing."""
    assert all_of(A) == A
    assert all_of() == ALWAYS
    assert any_of(A) == AtLeast(1, (A,))


def test_atoms_are_told_in_their_order_each_once() -> None:
    """The order is the file's."""
    assert atoms_of(all_of(any_of(C, A), all_of(A, B), C)) == (C, A, B)


def test_atoms_are_written_as_documented() -> None:
    """An item by its name, hours and sessions with what is there already."""
    assert as_json(A) == "skill/s0"
    assert as_json(Hours("direct", 10), 7.5) == {"hours": "direct", "at_least": 10, "have": 7.5}
    assert as_json(Sessions(3), 1) == {"sessions": 3, "have": 1}


def test_what_nothing_can_meet_is_an_error() -> None:
    """Reading refuses such a requirement; asking about one is a mistake in the program."""
    with pytest.raises(ValueError, match="nothing can meet"):
        smallest_missing(AtLeast(2, (A,)), lambda _: False)


@pytest.mark.parametrize(
    "requirement",
    [
        AtLeast(20, tuple(Item(f"skill/s{number}") for number in range(40))),
        all_of(
            *(any_of(*(all_of(Item(f"skill/a{x}{y}"), Item(f"skill/b{x}{y}")) for y in range(3))) for x in range(6))
        ),
    ],
)
def test_what_is_missing_is_found_without_trying_every_set(requirement: Requirement) -> None:
    """Twenty of forty skills are 138 billion sets; a board asks for hundreds of people at once.

    Counted in steps and not in seconds: every step asks about each atom once.
    """
    asked = 0

    def holds(_: Atom) -> bool:
        nonlocal asked
        asked += 1
        return False

    missing = smallest_missing(requirement, holds)
    assert plainly_met(requirement, frozenset(missing))
    assert asked < 20_000
